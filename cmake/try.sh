#!/usr/bin/env bash
# Installs what is missing, builds the Python package and answers the main question for the demo rigs;
# the pictures go to build/pictures. Arguments (such as --all) are handed to the demo.
set -eu -o pipefail
cd "$(dirname "$0")/.."
. cmake/common.sh

debian_packages try
python_packages try
python_build
mkdir -p build/pictures
"$venv_python" -m evenstroke demo --examples examples --out build/pictures "$@"
echo "Pictures: build/pictures"
