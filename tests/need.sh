# need.sh - read by the scripts: installs Debian packages that are missing. Usage: need PACKAGE...
need() {
    missing=
    for package; do
        state=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null) || state=
        [ "$state" = installed ] || missing="$missing $package"
    done
    [ -n "$missing" ] || return 0
    as_root=
    [ "$(id -u)" -eq 0 ] || as_root=sudo
    echo "Installing:$missing"
    $as_root apt-get update -qq &&
        $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq \
            --no-install-recommends $missing >/dev/null
}

# What it takes to build.
build_packages="gcc libc6-dev make cmake pkg-config libxml2-dev libigraph-dev libcjson-dev libcsv-dev libical-dev libsundials-dev libsuitesparse-dev"

# build FOLDER CMAKE-OPTION...: configures and builds; speaks only when it fails.
build() {
    folder=$1
    shift
    mkdir -p "$folder"
    { cmake -S "$root" -B "$folder" "$@" && cmake --build "$folder" -j "$(nproc)"; } \
        >"$folder/build.log" 2>&1 || {
        cat "$folder/build.log" >&2
        return 1
    }
}
