# bash completion for coaming; bash 4.4 or later.
#
# What may stand where the cursor is, `coaming __complete` says. Its answers are compared and quoted,
# never evaluated; no other program is run.

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

# Sets words, whole again where bash has split them at = and :, and kept, what of the last of them
# stands before the piece that bash replaces.
_coaming_look() {
    local piece before=''
    local -i i
    for ((i = 1; i <= COMP_CWORD; i++)); do
        piece=${COMP_WORDS[i]}
        _coaming_unquote "$piece"
        if ((${#words[@]})) && [[ $piece == +([:=]) || $before == +([:=]) ]]; then
            kept=${words[-1]}
            words[-1]+=$REPLY
        else
            kept=
            words+=("$REPLY")
        fi
        before=$piece
    done
    [[ $before != +([:=]) ]] || kept=${words[-1]}
}

_coaming() {
    local typed=${COMP_WORDS[COMP_CWORD]} kept='' how='' found='' quoted='' REPLY=''
    local -a words=()
    COMPREPLY=()
    _coaming_look
    {
        IFS= read -r how || return
        if [[ $how == files* ]]; then
            IFS= read -r found
            _coaming_files "${words[-1]:${#found}}" "${how#files}" "${found:${#kept}}"
            return
        fi
        while IFS= read -r found; do
            found=${found%%$'\t'*}
            found=${found:${#kept}}
            printf -v quoted %q "$found"
            quoted=${quoted//\\,/,} # a comma needs no quotes, and bash would not know it again
            # inside quotes that are still open only plain words are offered
            [[ $typed == [\'\"]* && $quoted != "$found" ]] || COMPREPLY+=("$quoted")
        done
    } < <(command coaming __complete "${words[@]}" 2>/dev/null)
    [[ $how == part || ${#COMPREPLY[@]} == 1 && ${COMPREPLY[0]} == *= ]] && compopt -o nospace 2>/dev/null
}

# Adds files that begin with $1: any, or with an ending $2 those and folders; $3 stands before each.
_coaming_files() {
    local file
    while IFS= read -r file; do
        COMPREPLY+=("$3$file")
    done < <(if [[ -n $2 ]]; then
        compgen -f -X "!*${2# }" -- "$1"
        compgen -d -- "$1"
    else
        compgen -f -- "$1"
    fi)
    compopt -o filenames 2>/dev/null
}

complete -F _coaming coaming
