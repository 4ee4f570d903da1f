# Completion of tankside for bash. The program itself tells the names of its commands, of their
# options, of shapes, and of a shape's parameters.
_tankside()
{
    local word=$2 before=$3 words
    if [ "$COMP_CWORD" -eq 1 ]; then
        words="$("$1" --names 2>/dev/null) help --help --version"
    elif [ "${COMP_WORDS[1]}" = help ]; then
        words=$("$1" --names 2>/dev/null)
    elif [ "$before" = --units ]; then
        words='metric inch'
    elif [[ $word == -* || $COMP_CWORD -eq 2 ]]; then
        words=$("$1" --names "${COMP_WORDS[1]}" 2>/dev/null)
    else
        words=$("$1" --names "${COMP_WORDS[1]}" "${COMP_WORDS[2]}" 2>/dev/null)
    fi
    mapfile -t COMPREPLY < <(compgen -W "$words" -- "$word"; compgen -f -- "$word")
    [[ ${COMPREPLY[0]-} != *= ]] || compopt -o nospace
}
complete -o filenames -F _tankside tankside
