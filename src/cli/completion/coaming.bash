# bash completion for coaming; bash 4.4 or later.
#
# Ids come from the ship's file by sed. They are compared and quoted, never evaluated; no other
# program is run.

# Prints the ids of the elements <$1 ...> of the arrangement on standard input, one a line.
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

# Adds files that begin with $1: any, or with $2 = xml (csv) folders and files ending in .xml (.csv).
_coaming_files() {
    local file
    _coaming_unquote "$1"
    while IFS= read -r file; do
        COMPREPLY+=("$file")
    done < <(if [[ $2 == xml || $2 == csv ]]; then
        compgen -f -X "!*.$2" -- "$REPLY"
        compgen -d -- "$REPLY"
    else
        compgen -f -- "$REPLY"
    fi)
    compopt -o filenames 2>/dev/null
}

# Adds ids of the elements $2 of the file $3 that begin with $1, quoted for the shell. Inside quotes
# that are still open only plain ids are offered.
_coaming_add_ids() {
    local begin=$1 file id quoted typed=$1
    _coaming_unquote "$3"
    file=$REPLY
    [[ -f $file && -r $file ]] || return
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
    done < <(_coaming_ids "$2" <"$file")
}

# Adds a list of spaces of the file $2 that begins with $1: what is there up to the last comma, and
# each space after it. Only plain ids are offered.
_coaming_add_spaces() {
    local listed='' last=$1 file id quoted
    _coaming_unquote "$2"
    file=$REPLY
    [[ -f $file && -r $file && $1 != *[\'\"\\]* ]] || return
    [[ $1 == *,* ]] && listed=${1%,*}, last=${1##*,}
    while IFS= read -r id; do
        printf -v quoted %q "$id"
        [[ $id == "$last"* && $id == "$quoted" && ",$listed" != *",$id,"* ]] || continue
        COMPREPLY+=("$listed$id")
    done < <(_coaming_ids space <"$file")
    compopt -o nospace 2>/dev/null
}

# Adds values of the option $1 that begin with $2; $3 is the ship's file.
_coaming_value() {
    case $1 in
    --hazard) _coaming_words "$2" water air both ;;
    --level) _coaming_words "$2" equilibrium still full ;;
    --measure) _coaming_words "$2" worth volume people spaces freeboard gm ;;
    --flooded) _coaming_add_spaces "$2" "$3" ;;
    --format) if [[ $command == export ]]; then _coaming_words "$2" json csv; else _coaming_words "$2" text json; fi ;;
    --table) _coaming_words "$2" spaces closures passages tests ;;
    --units) _coaming_words "$2" m ft ;;
    --number-frame) _coaming_words "$2" fore aft ;;
    --spaces | --closures | --passages) _coaming_files "$2" csv ;;
    --condition) _coaming_add_ids "$2" condition "$3" ;;
    --log) _coaming_files "$2" xml ;;
    --output | -o) _coaming_files "$2" any ;;
    esac
}

_coaming_options() {
    local with='--format= --output= --log= --condition= --as-of= --help'
    case $command in
    expose) with+=' --hazard= --level= --all' ;;
    rank) with+=' --hazard= --level= --measure= --top=' ;;
    export) with+=' --hazard= --level= --measure= --table=' ;;
    import)
        with='--spaces= --closures= --passages= --name= --size= --draft= --kg= --units= --frames='
        with+=' --deck= --number-frame= --map= --output= --as-of= --help'
        ;;
    float) with+=' --flooded= --all-breaches' ;;
    esac
    # shellcheck disable=SC2086
    _coaming_words "$1" $with
    [[ ${#COMPREPLY[@]} == 1 && ${COMPREPLY[0]} == *= ]] && compopt -o nospace 2>/dev/null
}

# Sets ship and ended (a -- stands before the cursor) from the words between command and cursor.
_coaming_look() {
    local i word
    for ((i = 2; i < COMP_CWORD; i++)); do
        word=${COMP_WORDS[i]}
        if [[ -n $ended || $word != -?* ]]; then
            [[ -n $ship ]] || ship=$word
        elif [[ $word == -- ]]; then
            ended=yes
        elif [[ ${COMP_WORDS[i + 1]} == '=' ]]; then
            ((i += 2))
        elif [[ " $valued " == *" $word "* ]]; then
            ((i += 1))
        fi
    done
}

_coaming() {
    local valued='--format --output -o --log --as-of --condition --hazard --level --measure --top --flooded'
    valued+=' --table --spaces --closures --passages --name --size --draft --kg --units --frames --deck'
    valued+=' --number-frame --map'
    local command=${COMP_WORDS[1]} current=${COMP_WORDS[COMP_CWORD]} ship='' ended='' REPLY
    local before=${COMP_WORDS[COMP_CWORD - 1]} typed=${COMP_LINE:0:COMP_POINT}
    COMPREPLY=()
    if ((COMP_CWORD == 1)) || [[ $command == help && $COMP_CWORD == 2 ]]; then
        _coaming_words "$current" check expose rank export import float
        ((COMP_CWORD == 1)) && _coaming_words "$current" help --help --version
        return
    fi
    [[ $command == @(check|expose|rank|export|import|float) ]] || return
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
    elif [[ $command == import ]]; then
        return # it takes no file but by its options
    elif [[ -z $ship ]]; then
        _coaming_files "$current" xml
    elif [[ $command == expose ]]; then
        typed=${typed##*[[:space:]]}
        _coaming_add_ids "${typed:-$current}" closure "$ship"
    fi
}

complete -F _coaming coaming
