# Functions for try.sh and check.sh; sourced from the top of the checkout.

venv_python=.venv/bin/python

# wanted KIND PURPOSE: the names of that kind which the purpose needs, one a line
wanted() {
  awk -v kind="$1" -v purpose="$2" 'BEGIN { rank["try"] = 1; rank["check"] = rank["benchmark"] = 2; rank["all"] = 3 }
    $1 == kind && rank[$3] >= 1 && rank[$3] <= rank[purpose] && ($3 != "benchmark" || purpose == "benchmark") { print $2 }
    ' cmake/packages.txt
}

# debian_packages PURPOSE: installs what is missing; without the right to do so it prints the line to run and fails
debian_packages() {
  local missing=() name as_root=()
  if ! command -v dpkg-query >/dev/null; then
    echo "Not a Debian system. Please see to the counterparts of: $(wanted apt "$1" | xargs)"
    return 0
  fi
  for name in $(wanted apt "$1"); do
    dpkg-query -W -f '${Status}\n' "$name" 2>/dev/null | grep -q '^install ok installed$' || missing+=("$name")
  done
  [ ${#missing[@]} -gt 0 ] || return 0
  if [ "$(id -u)" -ne 0 ]; then
    if ! sudo -n true 2>/dev/null; then
      echo "Debian packages are missing. Please run this line as an administrator, then this script again:"
      echo "  apt-get update && apt-get install -y --no-install-recommends ${missing[*]}"
      return 1
    fi
    as_root=(sudo -n)
  fi
  echo "Installing Debian packages: ${missing[*]}"
  "${as_root[@]}" apt-get update -qq || return 1
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive \
    apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null || return 1
}

# python_packages PURPOSE: .venv from Debian's own Python (another one may come first on the PATH), then pip
python_packages() {
  local python=/usr/bin/python3 stamp=.venv/.packages-$1 state need
  [ -x "$python" ] || python=$(command -v python3) || { echo "There is no python3."; return 1; }
  if ! "$venv_python" -m pip --version >/dev/null 2>&1; then
    echo "Making .venv with $python"
    "$python" -m venv --clear .venv || return 1
  fi
  state=$(cat pyproject.toml cmake/packages.txt | sha256sum)
  [ "$(cat "$stamp" 2>/dev/null)" != "$state" ] || return 0
  echo "Installing Python packages: $(wanted pip "$1" | xargs)"
  # shellcheck disable=SC2046
  "$venv_python" -m pip install -q --disable-pip-version-check $(wanted pip "$1") || return 1
  for need in try check all benchmark; do   # a larger set holds the smaller ones
    [ "$need" = "$1" ] || [ -z "$(comm -23 <(wanted pip "$need" | sort) <(wanted pip "$1" | sort))" ] || continue
    echo "$state" >".venv/.packages-$need"
  done
}

# python_build: compiles the module in build/python and installs the package into .venv, if anything has changed since
python_build() {
  local stamp=.venv/.built
  # Folders count as well: their time changes when a file is added, renamed or removed.
  if [ -e "$stamp" ] && "$venv_python" -c 'import evenstroke' 2>/dev/null && [ -z "$(find CMakeLists.txt \
      pyproject.toml LICENSE lib bindings cmake/*.cmake cmake/*.in -name __pycache__ -prune -o -newer "$stamp" -print)" ]
  then
    return 0
  fi
  echo "Building the Python package"
  rm -f "$stamp"
  touch .venv/.building   # before the build: a file saved meanwhile is newer
  "$venv_python" -m pip install -q --disable-pip-version-check --no-build-isolation --no-deps \
    --config-settings=build-dir=build/python . || return 1
  mv .venv/.building "$stamp"
}
