#!/usr/bin/env bash
# Set up fillbend on a fresh Debian or Ubuntu machine, then run the main job on an invented study.
set -euo pipefail
cd "$(dirname "$0")/.."
. demos/setup.sh
set_up ""
echo
.venv/bin/fillbend reconcile demos/shelf_arm/study.toml
echo
.venv/bin/fillbend report demos/shelf_arm/study.toml -o shelf_arm_report.html
echo "Open shelf_arm_report.html in any browser. Later runs: .venv/bin/fillbend --help"
