# Set-up shared by demos/first_run.sh and tests/run.sh: system libraries, virtual environment, installation.
# Source it, then call: set_up EXTRAS   (an empty word, or [test])

# The shared libraries that gmsh's wheel loads, and the Debian/Ubuntu packages that hold them.
gmsh_libraries="libGL.so.1 libGLU.so.1 libXft.so.2 libXcursor.so.1 libXinerama.so.1 libXrender.so.1 libXfixes.so.3 libgomp.so.1 libfontconfig.so.1"
gmsh_packages="libgl1 libglu1-mesa libxft2 libxcursor1 libxinerama1 libxrender1 libxfixes3 libgomp1 libfontconfig1"

# need_libraries WHAT-FOR LIBRARIES PACKAGES: install the packages if a library is missing.
need_libraries() {
    local purpose=$1 name cached missing=""
    cached=$(/sbin/ldconfig -p 2>/dev/null || true)
    for name in $2; do
        case "$cached" in *"$name "*) ;; *) missing="$missing $name" ;; esac
    done
    if [ -n "$missing" ]; then
        # shellcheck disable=SC2086
        apt_install "$purpose (missing:$missing)" $3
    fi
}

# apt_install WHAT-FOR PACKAGES...: say what is done, do it, or name the packages and stop.
apt_install() {
    local purpose=$1; shift
    local as_root=""
    if [ "$(id -u)" != 0 ]; then
        command -v sudo >/dev/null 2>&1 && as_root="sudo"
    fi
    if ! command -v apt-get >/dev/null 2>&1 || { [ "$(id -u)" != 0 ] && [ -z "$as_root" ]; }; then
        echo "Missing for $purpose: $*. Please install them with your system's package manager, then run this again." >&2
        exit 1
    fi
    echo "Installing for $purpose with apt-get: $*"
    if ! { $as_root apt-get update -qq && DEBIAN_FRONTEND=noninteractive $as_root apt-get install -y -qq --no-install-recommends "$@" >/dev/null; }; then
        echo "apt-get could not install: $*. Please install them by hand, then run this again." >&2
        exit 1
    fi
}

set_up() {
    local extras=$1 python=${PYTHON:-python3}
    if ! command -v "$python" >/dev/null 2>&1; then
        apt_install "Python" python3 python3-venv
    fi
    if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))'; then
        echo "fillbend needs Python 3.11 or newer; found $("$python" -V 2>&1). Set PYTHON=python3.11 or newer and run this again." >&2
        exit 1
    fi
    if ! "$python" -c 'import ensurepip, venv' >/dev/null 2>&1; then
        apt_install "virtual environments" python3-venv
    fi
    need_libraries "gmsh, the mesher" "$gmsh_libraries" "$gmsh_packages"
    if [ ! -x .venv/bin/python ]; then
        echo "Making a virtual environment in .venv"
        "$python" -m venv .venv
    fi
    local stamp
    stamp="$extras $(cksum < pyproject.toml)"
    if [ "$(cat .venv/fillbend-set-up 2>/dev/null)" != "$stamp" ]; then
        echo "Installing fillbend$extras and its packages into .venv (a few minutes the first time)"
        .venv/bin/python -m pip install -q --disable-pip-version-check -e ".$extras"
        echo "$stamp" > .venv/fillbend-set-up
    fi
    .venv/bin/python -c 'import gmsh' || {
        echo "gmsh cannot be loaded: see the line above for the library that is missing." >&2
        exit 1
    }
}
