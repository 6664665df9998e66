# fish completion for coaming.
#
# Ids come from the ship's file, or from the log, by sed and sort. fish quotes what it inserts; ids are
# never evaluated, and no other program is run.

# The words after the command, up to the cursor, that are no options nor values of options.
function __coaming_arguments
    set -l valued --format --output -o --log --as-of --condition --hazard --level --measure --top --flooded \
        --table --within --start --date --method --result --gap --set --hinge-play --repair --by --note --sheet --date-format --ship \
        --source --protect --explain --standing --risk --seed --samples --share --hours
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

# Is this the command, and is the ship's file still to come (wanted), on the line (given), the last
# word on it (alone), or are there words behind it (more)?
function __coaming_at -a command ship
    set -l words (commandline -opc)
    test "$words[2]" = "$command"; or return 1
    set -l count (count (__coaming_arguments))
    switch "$ship"
        case wanted
            test $count -eq 0
        case given
            test $count -gt 0
        case alone
            test $count -eq 1
        case more
            test $count -gt 1
    end
end

function __coaming_of
    set -l words (commandline -opc)
    contains -- "$words[2]" $argv
end

# The ids of the elements <$argv[1] ...> of the ship's file, one a line.
function __coaming_ids -a element
    set -l arguments (__coaming_arguments)
    __coaming_read $element id "$arguments[1]"
end

# Closures to record: those of the arrangement that --ship names, else those that the log knows.
function __coaming_recorded
    set -l words (commandline -opc)
    set -l ship (string match -r -- '^--ship=(.*)' $words)[2]
    set -l at (contains -i -- --ship $words); and set ship $words[(math $at + 1)]
    set -l arguments (__coaming_arguments)
    if test -n "$ship"
        __coaming_read closure id "$ship"
    else
        begin
            __coaming_read test closure "$arguments[1]"
            __coaming_read repair closure "$arguments[1]"
        end | sort -u
    end
end

# The attribute of the elements <element ...> of a file, one a line.
function __coaming_read -a element name path
    set -l file (string replace -r -- '^~/' "$HOME/" "$path")
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
s/.*[[:space:]]'$name'[[:space:]]*=[[:space:]]*"\([^"]*\)".*/\1/
t found
s/.*[[:space:]]'$name'[[:space:]]*=[[:space:]]*'\''\([^'\'']*\)'\''.*/\1/
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
    set -l token (commandline -ct | string replace -r -- '^--(?:flooded|protect)=' '')
    set -l listed (string match -r -- '^.*,' "$token")
    for id in (__coaming_ids space)
        contains -- "$id" (string split , -- "$listed"); or printf '%s\n' "$listed$id"
    end
end

# Folders, and files ending in .xml: what fish itself offers for a command that it does not know.
function __coaming_files
    set -l token (commandline -ct | string replace -r -- '^--(?:log|ship)=' '')
    complete -C "__coaming_none $token" | string match -er '(?:\.xml|/)(?:\t|$)'
end

complete -c coaming -f
complete -c coaming -n __fish_use_subcommand -a check -d 'is the file sound'
complete -c coaming -n __fish_use_subcommand -a expose -d 'what a failed closure exposes'
complete -c coaming -n __fish_use_subcommand -a rank -d 'what to make good first, and what matters most'
complete -c coaming -n __fish_use_subcommand -a plan -d 'which repairs to make in the hours given'
complete -c coaming -n __fish_use_subcommand -a export -d 'the whole model as JSON or as a graph'
complete -c coaming -n __fish_use_subcommand -a float -d 'how she floats with spaces open to the sea'
complete -c coaming -n __fish_use_subcommand -a hold -d 'which line of closures is most likely to hold'
complete -c coaming -n __fish_use_subcommand -a draw -d 'deck plans and profile as SVG'
complete -c coaming -n __fish_use_subcommand -a report -d 'the state of the ship as one page'
complete -c coaming -n __fish_use_subcommand -a record -d 'put a test or a repair into the log'
complete -c coaming -n __fish_use_subcommand -a due -d 'which tests are due by when'
complete -c coaming -n __fish_use_subcommand -a round -d 'a walking order for the tests that are due'
complete -c coaming -n __fish_use_subcommand -a adjust -d 'what the chalk prints ask for'
complete -c coaming -n __fish_use_subcommand -a history -d 'one closure through the years'
complete -c coaming -n __fish_use_subcommand -a import -d 'an arrangement from lists'
complete -c coaming -n __fish_use_subcommand -a help -d 'help for a command'
complete -c coaming -n __fish_use_subcommand -l version -d version
complete -c coaming -n '__coaming_of help' -a 'check expose rank plan export float hold draw report record due round adjust history import'

for command in check expose rank plan export float hold draw report record due round adjust history
    complete -c coaming -n "__coaming_at $command wanted" -k -a '(__coaming_files)'
end
for command in expose round adjust
    complete -c coaming -n "__coaming_at $command given" -a '(__coaming_ids closure)' -d closure
end
complete -c coaming -n '__coaming_at history alone' -a '(__coaming_ids closure)' -d closure
complete -c coaming -n '__coaming_at record alone' -a '(__coaming_recorded)' -d closure
complete -c coaming -n '__coaming_at record more' -a 'pass fail' -d result
complete -c coaming -n '__coaming_at record more' -a 'chalk hose air ultrasonic light smoke visual' -d method
complete -c coaming -n '__coaming_at record more' -a 'dogs gasket knife-edge hinge replaced' -d repair
complete -c coaming -n '__coaming_at record more' -a undo -d 'take back the latest entry'

complete -c coaming -l help -d help
complete -c coaming -n '__coaming_of check expose rank plan export float hold draw report record due round adjust history import' -s o -l output -r -F -d 'write to a file'
complete -c coaming -n '__coaming_of check expose rank plan export float hold draw report due round adjust history' -l log -x -k -a '(__coaming_files)' -d 'test log'
complete -c coaming -n '__coaming_of check expose rank plan export float hold draw report due round adjust history import' -l as-of -x -d 'what was known on YYYY-MM-DD'
complete -c coaming -n '__coaming_of export' -l format -x -a 'json csv graphml dot' -d 'JSON, CSV or a graph'
complete -c coaming -n '__coaming_of due' -l format -x -a 'text json csv ical' -d 'text, JSON, CSV or iCalendar'
complete -c coaming -n '__coaming_of check expose rank plan float hold record round adjust history' -l format -x -a 'text json csv' -d 'text, JSON or CSV'
complete -c coaming -n '__coaming_of check expose rank plan export float hold draw report due round' -l condition -x -a '(__coaming_ids condition)' -d condition
complete -c coaming -n '__coaming_of expose rank plan export hold draw report due round' -l hazard -x -a 'water air both' -d hazard
complete -c coaming -n '__coaming_of expose rank plan export hold draw report due round' -l level -x -a 'equilibrium still full' -d 'or a height such as 3.5 or 12ft'
complete -c coaming -n '__coaming_of rank export draw report due round' -l measure -x -a 'worth volume people spaces freeboard gm' -d measure
complete -c coaming -n '__coaming_of plan' -l measure -x -a 'worth volume people spaces' -d measure
complete -c coaming -n '__coaming_of rank draw report round' -l top -x -d 'the first N only'
complete -c coaming -n '__coaming_of rank' -l by-risk -d 'greatest risk first'
complete -c coaming -n '__coaming_of rank' -l standing -x -a 'failed untested failed,untested passed all' -d 'those that stand so'
complete -c coaming -n '__coaming_of rank' -l explain -x -a '(__coaming_ids closure)' -d 'how likely it leaks, step by step'
complete -c coaming -n '__coaming_of rank' -l share -x -d 'K/N, one share of the samples'
complete -c coaming -n '__coaming_of rank' -l merge -d 'put parts together'
complete -c coaming -n '__coaming_at rank given; and __fish_contains_opt merge' -F
complete -c coaming -n '__coaming_of rank plan' -l risk -x -a 'exact sampled auto' -d 'how risk is worked out'
complete -c coaming -n '__coaming_of rank plan' -l seed -x -d 'of the samples'
complete -c coaming -n '__coaming_of rank plan' -l samples -x -d 'how many'
complete -c coaming -n '__coaming_of rank plan' -l within -x -d 'P%, standard error wanted'
complete -c coaming -n '__coaming_of plan' -l hours -x -d 'hours of work that there are'
complete -c coaming -n '__coaming_of expose' -l all -d 'every closure'
complete -c coaming -n '__coaming_of due' -l all -d 'every test'
complete -c coaming -n '__coaming_of float' -l flooded -x -a '(__coaming_spaces)' -d 'spaces open to the sea'
complete -c coaming -n '__coaming_of float' -l spread -d 'water goes on as the doors are'
complete -c coaming -n '__coaming_of float' -l all-breaches -d 'every breach of the side in turn'
complete -c coaming -n '__coaming_of hold draw' -l source -x -a 'sea weather (__coaming_ids space)' -d 'where it is already'
complete -c coaming -n '__coaming_of hold draw' -l protect -x -a '(__coaming_spaces)' -d 'spaces that are to stay clean'
complete -c coaming -n '__coaming_of draw' -l format -x -a svg -d SVG
complete -c coaming -n '__coaming_of draw' -l overlay -x -a 'expose rank due hold' -d 'what is laid over'
complete -c coaming -n '__coaming_of draw' -l closure -x -a '(__coaming_ids closure)' -d 'the closure that fails'
complete -c coaming -n '__coaming_of draw' -l deck -x -a '(__coaming_ids deck)' -d 'only the plans of these decks'
complete -c coaming -n '__coaming_of draw' -l profile -d 'the profile'
complete -c coaming -n '__coaming_of draw' -l width -x -d 'of the page, mm'
complete -c coaming -n '__coaming_of draw' -l compact -d 'ids in place of names'
complete -c coaming -n '__coaming_of report' -l format -x -a html -d HTML
complete -c coaming -n '__coaming_of report' -l since -x -d 'also what changed since YYYY-MM-DD'
complete -c coaming -n '__coaming_of export' -l table -x -a 'spaces closures passages tests' -d 'which list, as CSV'
complete -c coaming -n '__coaming_of draw report due round' -l within -x -d 'also what falls due in so many days'
complete -c coaming -n '__coaming_of due round' -l by-consequence -d 'what its failure would cost decides the order'
complete -c coaming -n '__coaming_of round' -l start -x -a 'weather (__coaming_ids space)' -d 'where the walk begins and ends'
complete -c coaming -n '__coaming_of round' -l inside -d 'keep off the open deck'
complete -c coaming -n '__coaming_of record' -l date -x -d 'day of the test or repair, YYYY-MM-DD'
complete -c coaming -n '__coaming_of record' -l method -x -a 'chalk hose air ultrasonic light smoke visual' -d 'how it was tested'
complete -c coaming -n '__coaming_of record' -l result -x -a 'pass fail' -d 'of a test'
complete -c coaming -n '__coaming_of record' -l gap -x -d 'AT:LENGTH, a gap in the print'
complete -c coaming -n '__coaming_of record' -l set -x -d 'permanent set of the gasket, such as 3.5mm'
complete -c coaming -n '__coaming_of record' -l hinge-play -x -d 'play of the hinge, such as 2mm'
complete -c coaming -n '__coaming_of record' -l repair -x -a 'dogs gasket knife-edge hinge replaced' -d 'what was done'
complete -c coaming -n '__coaming_of record' -l by -x -d 'who did it'
complete -c coaming -n '__coaming_of record' -l note -x -d 'a remark'
complete -c coaming -n '__coaming_of record' -l undo -d 'take back the latest entry of the closure'
complete -c coaming -n '__coaming_of record' -l sheet -r -F -d 'all that is filled in on a sheet'
complete -c coaming -n '__coaming_of record import' -l date-format -x -a 'D.M.Y D/M/Y M/D/Y Y-M-D' -d 'how sheets write dates'
complete -c coaming -n '__coaming_of record' -l ship -x -k -a '(__coaming_files)' -d 'check against the ship'
complete -c coaming -n '__coaming_of record' -l again -d 'record also what stands last in the log already'
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
