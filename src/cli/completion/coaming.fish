# fish completion for coaming.
#
# Ids come from the ship's file by sed. fish quotes what it inserts; ids are never evaluated, and no
# other program is run.

# The words after the command, up to the cursor, that are no options nor values of options.
function __coaming_arguments
    set -l valued --format --output -o --log --as-of --condition --hazard --level --measure --top --flooded --table
    set -l skip no
    set -l ended no
    set -l words (commandline -opc)
    for word in $words[3..-1]
        if test $skip = yes
            set skip no
        else if test $ended = yes; or not string match -q -- '-?*' "$word"
            printf '%s\n' "$word"
        else if test "$word" = --
            set ended yes
        else if contains -- "$word" $valued
            set skip yes
        end
    end
end

# Is this the command, and is the ship's file still to come (wanted) or on the line (given)?
function __coaming_at -a command ship
    set -l words (commandline -opc)
    test "$words[2]" = "$command"; or return 1
    set -l count (count (__coaming_arguments))
    switch "$ship"
        case wanted
            test $count -eq 0
        case given
            test $count -gt 0
    end
end

function __coaming_of
    set -l words (commandline -opc)
    contains -- "$words[2]" $argv
end

# The ids of the elements <$argv[1] ...> of the ship's file, one a line.
function __coaming_ids -a element
    set -l arguments (__coaming_arguments)
    set -l file (string replace -r -- '^~/' "$HOME/" "$arguments[1]")
    test -f "$file" -a -r "$file"; or return
    sed 's/</\
</g' <"$file" | sed -n '
/^<!--.*-->/d
/^<!--/,/-->/d
/^<'$element'[[:space:]]/!{
/^<'$element'$/!d
}
:more
/>/!{
N
b more
}
s/.*[[:space:]]id[[:space:]]*=[[:space:]]*"\([^"]*\)".*/\1/
t found
s/.*[[:space:]]id[[:space:]]*=[[:space:]]*'\''\([^'\'']*\)'\''.*/\1/
t found
d
:found
s/&lt;/</g
s/&gt;/>/g
s/&quot;/"/g
s/&apos;/'\''/g
s/&amp;/\&/g
p'
end

# Lists of spaces: what is typed up to the last comma, and each space after it.
function __coaming_spaces
    set -l token (commandline -ct | string replace -r -- '^--flooded=' '')
    set -l listed (string match -r -- '^.*,' "$token")
    for id in (__coaming_ids space)
        contains -- "$id" (string split , -- "$listed"); or printf '%s\n' "$listed$id"
    end
end

# Folders, and files ending in .xml: what fish itself offers for a command that it does not know.
function __coaming_files
    set -l token (commandline -ct | string replace -r -- '^--log=' '')
    complete -C "__coaming_none $token" | string match -er '(?:\.xml|/)(?:\t|$)'
end

complete -c coaming -f
complete -c coaming -n __fish_use_subcommand -a check -d 'is the file sound'
complete -c coaming -n __fish_use_subcommand -a expose -d 'what a failed closure exposes'
complete -c coaming -n __fish_use_subcommand -a rank -d 'which closure to repair first'
complete -c coaming -n __fish_use_subcommand -a export -d 'the whole model as JSON'
complete -c coaming -n __fish_use_subcommand -a import -d 'an arrangement from lists'
complete -c coaming -n __fish_use_subcommand -a float -d 'how she floats with spaces open to the sea'
complete -c coaming -n __fish_use_subcommand -a help -d 'help for a command'
complete -c coaming -n __fish_use_subcommand -l version -d version
complete -c coaming -n '__coaming_of help' -a 'check expose rank export import float'

for command in check expose rank export float
    complete -c coaming -n "__coaming_at $command wanted" -k -a '(__coaming_files)'
end
complete -c coaming -n '__coaming_at expose given' -a '(__coaming_ids closure)' -d closure

complete -c coaming -l help -d help
complete -c coaming -n '__coaming_of check expose rank export import float' -s o -l output -r -F -d 'write to a file'
complete -c coaming -n '__coaming_of check expose rank export float' -l log -x -k -a '(__coaming_files)' -d 'test log'
complete -c coaming -n '__coaming_of check expose rank export import float' -l as-of -x -d 'what was known on YYYY-MM-DD'
complete -c coaming -n '__coaming_of check expose rank float' -l format -x -a 'text json' -d 'text or JSON'
complete -c coaming -n '__coaming_of export' -l format -x -a 'json csv' -d 'JSON or CSV'
complete -c coaming -n '__coaming_of check expose rank export float' -l condition -x -a '(__coaming_ids condition)' -d condition
complete -c coaming -n '__coaming_of expose rank export' -l hazard -x -a 'water air both' -d hazard
complete -c coaming -n '__coaming_of expose rank export' -l level -x -a 'equilibrium still full' -d 'or a height such as 3.5 or 12ft'
complete -c coaming -n '__coaming_of rank export' -l measure -x -a 'worth volume people spaces freeboard gm' -d measure
complete -c coaming -n '__coaming_of rank' -l top -x -d 'the first N only'
complete -c coaming -n '__coaming_of expose' -l all -d 'every closure'
complete -c coaming -n '__coaming_of float' -l flooded -x -a '(__coaming_spaces)' -d 'spaces open to the sea'
complete -c coaming -n '__coaming_of float' -l all-breaches -d 'every breach of the side in turn'
complete -c coaming -n '__coaming_of export' -l table -x -a 'spaces closures passages tests' -d 'which list, with csv'
for list in spaces closures passages
    complete -c coaming -n '__coaming_of import' -l $list -r -F -d "list of $list"
end
complete -c coaming -n '__coaming_of import' -l name -x -d 'of the ship'
complete -c coaming -n '__coaming_of import' -l size -x -d 'LxBxD: length, beam, depth'
complete -c coaming -n '__coaming_of import' -l draft -x -d undamaged
complete -c coaming -n '__coaming_of import' -l kg -x -d 'height of the centre of gravity'
complete -c coaming -n '__coaming_of import' -l units -x -a 'm ft' -d 'of numbers and lists'
complete -c coaming -n '__coaming_of import' -l frames -x -d 'SPACING[:X0]'
complete -c coaming -n '__coaming_of import' -l deck -x -d 'NUMBER:ID:Z[:NAME]'
complete -c coaming -n '__coaming_of import' -l number-frame -x -a 'fore aft' -d 'end of the frame of a number'
complete -c coaming -n '__coaming_of import' -l map -x -d 'LIST.FIELD=COLUMN'
