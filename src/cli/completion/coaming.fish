# fish completion for coaming.
#
# What may stand where the cursor is, `coaming __complete` says. fish quotes what it inserts; the answers
# are never evaluated, and no other program is run.

function __coaming_offered
    set -l words (commandline -opc)
    set -l last (commandline -ct)
    set -l plain (string unescape -- "$last"); and set last $plain
    set -l lines (command coaming __complete $words[2..-1] "$last" 2>/dev/null)
    switch "$lines[1]"
        case 'files*'
            # what fish itself offers for a command that it does not know
            set -l ending (string replace -r '^files ?' '' -- $lines[1] | string escape --style=regex)
            set -l path (string sub -s (math (string length -- "$lines[2]") + 1) -- "$last")
            for file in (complete -C "__coaming_none "(string escape -- "$path") | string match -er "(?:$ending|/)(?:\t|\$)")
                printf '%s%s\n' "$lines[2]" "$file"
            end
        case '*'
            printf '%s\n' $lines[2..-1]
    end
end

complete -c coaming -f -k -a '(__coaming_offered)'
