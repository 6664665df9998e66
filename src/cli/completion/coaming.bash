# bash completion for coaming; bash 4.4 or later.
#
# Ids come from the ship's file, or from the log, by sed and sort. They are compared and quoted, never
# evaluated; no other program is run.

# Prints the attribute $2 of the elements <$1 ...> of the file on standard input, one a line.
_coaming_ids() {
    sed 's/</\
</g' | sed -n '
/^<!--.*-->/d
/^<!--/,/-->/d
/^<'"$1"'[[:space:]]/!{
/^<'"$1"'$/!d
}
:more
/>/!{
N
b more
}
s/.*[[:space:]]'"$2"'[[:space:]]*=[[:space:]]*"\([^"]*\)".*/\1/
t found
s/.*[[:space:]]'"$2"'[[:space:]]*=[[:space:]]*'\''\([^'\'']*\)'\''.*/\1/
t found
d
:found
s/&lt;/</g
s/&gt;/>/g
s/&quot;/"/g
s/&apos;/'\''/g
s/&amp;/\&/g
p'
}

# REPLY: the word $1 without its quotes, a leading ~/ as the home folder. Nothing else is expanded.
_coaming_unquote() {
    local word=$1 quote='' char
    REPLY=
    [[ $word == \~/* ]] && REPLY=$HOME word=${word#\~}
    while [[ -n $word ]]; do
        char=${word:0:1} word=${word:1}
        if [[ $char == "$quote" ]]; then
            quote=
        elif [[ -z $quote && $char == [\'\"] ]]; then
            quote=$char
        elif [[ $char == \\ && $quote != "'" ]]; then
            REPLY+=${word:0:1} word=${word:1}
        else
            REPLY+=$char
        fi
    done
}

# Adds those of the words $2... that begin with $1, as they are.
_coaming_words() {
    local begin=$1 word
    for word in "${@:2}"; do
        [[ $word == "$begin"* ]] && COMPREPLY+=("$word")
    done
}

# Adds files that begin with $1: any, or with $2 = xml folders and files ending in .xml.
_coaming_files() {
    local file
    _coaming_unquote "$1"
    while IFS= read -r file; do
        COMPREPLY+=("$file")
    done < <(if [[ $2 == xml ]]; then
        compgen -f -X '!*.xml' -- "$REPLY"
        compgen -d -- "$REPLY"
    else
        compgen -f -- "$REPLY"
    fi)
    compopt -o filenames 2>/dev/null
}

# Prints the ids of the elements $1 of the arrangement $2; with $1 = log those of the closures of the
# log $2, each once. Nothing if there is no such file.
_coaming_ids_of() {
    _coaming_unquote "$2"
    [[ -f $REPLY && -r $REPLY ]] || return
    if [[ $1 == log ]]; then
        { _coaming_ids test closure <"$REPLY" && _coaming_ids repair closure <"$REPLY"; } | sort -u
    else
        _coaming_ids "$1" id <"$REPLY"
    fi
}

# Adds ids, as _coaming_ids_of $2 $3 prints them, that begin with $1, quoted for the shell. Inside
# quotes that are still open only plain ids are offered.
_coaming_add_ids() {
    local begin=$1 id quoted typed=$1
    _coaming_unquote "$begin"
    begin=$REPLY
    while IFS= read -r id; do
        [[ $id == "$begin"* ]] || continue
        printf -v quoted %q "$id"
        [[ $typed == [\'\"]* && $quoted != "$id" ]] && continue
        # where bash has split the word at : or =, only what stands after the last is replaced
        [[ $typed != "$current" && $quoted == "${typed%[:=]*}"[:=]* ]] &&
            quoted=${quoted#"${typed%[:=]*}"?}
        COMPREPLY+=("$quoted")
    done < <(_coaming_ids_of "$2" "$3")
}

# Adds a list of spaces of the file $2 that begins with $1: what is there up to the last comma, and
# each space after it. Only plain ids are offered.
_coaming_add_spaces() {
    local listed='' last=$1 id quoted
    [[ $1 != *[\'\"\\]* ]] || return
    [[ $1 == *,* ]] && listed=${1%,*}, last=${1##*,}
    while IFS= read -r id; do
        printf -v quoted %q "$id"
        [[ $id == "$last"* && $id == "$quoted" && ",$listed" != *",$id,"* ]] || continue
        COMPREPLY+=("$listed$id")
    done < <(_coaming_ids_of space "$2")
    compopt -o nospace 2>/dev/null
}

_coaming_commands='check expose rank plan export float hold draw report record due round adjust history import'
_coaming_methods='chalk hose air ultrasonic light smoke visual'
_coaming_actions='dogs gasket knife-edge hinge replaced'

_coaming_formats() {
    case $command in
    export) _coaming_words "$1" json csv graphml dot ;;
    draw) _coaming_words "$1" svg ;;
    report) _coaming_words "$1" html ;;
    due) _coaming_words "$1" text json csv ical ;;
    *) _coaming_words "$1" text json csv ;;
    esac
}

# shellcheck disable=SC2086
# Adds values of the option $1 that begin with $2; $3 is the ship's file.
_coaming_value() {
    case $1 in
    --hazard) _coaming_words "$2" water air both ;;
    --level) _coaming_words "$2" equilibrium still full ;;
    --measure) _coaming_words "$2" worth volume people spaces freeboard gm ;;
    --flooded | --protect) _coaming_add_spaces "$2" "$3" ;;
    --format) _coaming_formats "$2" ;;
    --table) _coaming_words "$2" spaces closures passages tests ;;
    --start | --source)
        _coaming_words "$2" weather
        [[ $1 == --start ]] || _coaming_words "$2" sea
        _coaming_add_ids "$2" space "$3"
        ;;
    --overlay) _coaming_words "$2" expose rank due hold ;;
    --deck) [[ $command != draw ]] || _coaming_add_ids "$2" deck "$3" ;;
    --explain | --closure) _coaming_add_ids "$2" closure "$3" ;;
    --standing) _coaming_words "$2" failed untested failed,untested passed all ;;
    --risk) _coaming_words "$2" exact sampled auto ;;
    --method) _coaming_words "$2" $_coaming_methods ;;
    --result) _coaming_words "$2" pass fail ;;
    --repair) _coaming_words "$2" $_coaming_actions ;;
    --ship) _coaming_files "$2" xml ;;
    --units) _coaming_words "$2" m ft ;;
    --number-frame) _coaming_words "$2" fore aft ;;
    --spaces | --closures | --passages) _coaming_files "$2" csv ;;
    --date-format) _coaming_words "$2" D.M.Y D/M/Y M/D/Y Y-M-D ;;
    --sheet) _coaming_files "$2" any ;;
    --condition) _coaming_add_ids "$2" condition "$3" ;;
    --log) _coaming_files "$2" xml ;;
    --output | -o) _coaming_files "$2" any ;;
    esac
}

_coaming_options() {
    local with='--format= --output= --help' asked='--condition= --hazard= --level='
    local sampling='--risk= --seed= --samples= --within='
    [[ $command == record ]] || with+=' --log= --as-of='
    case $command in
    check) with+=' --condition=' ;;
    import)
        with='--spaces= --closures= --passages= --name= --size= --draft= --kg= --units= --frames='
        with+=' --deck= --number-frame= --map= --date-format= --output= --as-of= --help'
        ;;
    expose) with+=" $asked --all" ;;
    rank) with+=" $asked --measure= --top= --by-risk --standing= --explain= $sampling --share= --merge" ;;
    plan) with+=" $asked --measure= --hours= $sampling" ;;
    export) with+=" $asked --measure= --table=" ;;
    float) with+=' --condition= --flooded= --spread --all-breaches' ;;
    hold) with+=" $asked --source= --protect=" ;;
    draw)
        with+=" $asked --measure= --top= --within= --source= --protect= --overlay= --closure="
        with+=' --deck= --profile --width= --compact'
        ;;
    report) with+=" $asked --measure= --since= --top= --within=" ;;
    record) with+=' --date= --method= --result= --gap= --set= --hinge-play= --repair= --by= --note= --undo --sheet= --date-format= --ship= --again' ;;
    due) with+=" $asked --measure= --all --within= --by-consequence" ;;
    round) with+=" $asked --measure= --within= --by-consequence --top= --start= --inside" ;;
    esac
    # shellcheck disable=SC2086
    _coaming_words "$1" $with
    [[ ${#COMPREPLY[@]} == 1 && ${COMPREPLY[0]} == *= ]] && compopt -o nospace 2>/dev/null
}

# Sets ship, after (how many words stand behind it), beside (the value of --ship), merge (it stands
# there) and ended (a -- stands before the cursor) from the words between command and cursor.
_coaming_look() {
    local i word
    for ((i = 2; i < COMP_CWORD; i++)); do
        word=${COMP_WORDS[i]}
        if [[ -n $ended || $word != -?* ]]; then
            if [[ -n $ship ]]; then ((after += 1)); else ship=$word; fi
        elif [[ $word == -- ]]; then
            ended=yes
        elif [[ $word == --merge ]]; then
            merge=yes
        elif [[ ${COMP_WORDS[i + 1]} == '=' ]]; then
            ((i += 2))
            [[ $word == --ship ]] && beside=${COMP_WORDS[i]}
        elif [[ " $valued " == *" $word "* ]]; then
            ((i += 1))
            [[ $word == --ship ]] && beside=${COMP_WORDS[i]}
        elif [[ $word == --ship=* ]]; then
            beside=${word#*=}
        fi
    done
}

# Adds what may stand behind the ship's file, or behind the log.
# shellcheck disable=SC2086
_coaming_argument() {
    case $command in
    rank) [[ -z $merge ]] || _coaming_files "$1" any ;;
    expose | round | adjust) _coaming_add_ids "$1" closure "$ship" ;;
    history) ((after)) || _coaming_add_ids "$1" closure "$ship" ;;
    record)
        if ((after)); then
            _coaming_words "$1" pass fail undo $_coaming_methods $_coaming_actions
        elif [[ -n $beside ]]; then
            _coaming_add_ids "$1" closure "$beside"
        else
            _coaming_add_ids "$1" log "$ship"
        fi
        ;;
    esac
}

_coaming() {
    local valued='--format --output -o --log --as-of --condition --hazard --level --measure --top --flooded --source --protect'
    valued+=' --table --within --start --date --method --result --gap --set --hinge-play --repair --by --note --sheet --date-format --ship'
    valued+=' --spaces --closures --passages --name --size --draft --kg --units --frames --deck'
    valued+=' --number-frame --map --explain --standing --risk --seed --samples --share --hours --overlay --closure --width --since'
    local command=${COMP_WORDS[1]} current=${COMP_WORDS[COMP_CWORD]} ship='' beside='' merge='' ended='' REPLY
    local -i after=0
    local before=${COMP_WORDS[COMP_CWORD - 1]} typed=${COMP_LINE:0:COMP_POINT}
    COMPREPLY=()
    if ((COMP_CWORD == 1)) || [[ $command == help && $COMP_CWORD == 2 ]]; then
        # shellcheck disable=SC2086
        _coaming_words "$current" $_coaming_commands
        ((COMP_CWORD == 1)) && _coaming_words "$current" help --help --version
        return
    fi
    [[ " $_coaming_commands " == *" $command "* ]] || return
    _coaming_look
    # bash splits words at = (and :) unless told otherwise; see both forms
    if [[ -z $ended && $current == '=' && $before == --* ]]; then
        _coaming_value "$before" '' "$ship"
    elif [[ -z $ended && $before == '=' && ${COMP_WORDS[COMP_CWORD - 2]} == --* ]]; then
        _coaming_value "${COMP_WORDS[COMP_CWORD - 2]}" "$current" "$ship"
    elif [[ -z $ended && $current == --*=* ]]; then
        _coaming_value "${current%%=*}" "${current#*=}" "$ship"
        COMPREPLY=("${COMPREPLY[@]/#/${current%%=*}=}")
    elif [[ -z $ended && " $valued " == *" $before "* ]]; then
        _coaming_value "$before" "$current" "$ship"
    elif [[ -z $ended && $current == -* ]]; then
        _coaming_options "$current"
    elif [[ -z $ship ]]; then
        _coaming_files "$current" xml
    else
        typed=${typed##*[[:space:]]}
        _coaming_argument "${typed:-$current}"
    fi
}

complete -F _coaming coaming
