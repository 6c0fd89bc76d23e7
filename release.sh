#!/usr/bin/env bash
# Builds the archives that people download, for three systems on two kinds of
# processor, with manual pages, completions and a systemd unit inside, and their
# checksums. The same commit and the same Go give the same bytes, on any machine.
#
#   ./release.sh VERSION [FOLDER]     as ./release.sh v1.0.0; into release/out if absent
set -euo pipefail
cd "$(dirname "$0")"
version=${1:?"which version? as ./release.sh v1.0.0"}
out=${2:-release/out}
mkdir -p "$out"
out=$(cd "$out" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export CGO_ENABLED=0 GOFLAGS="-trimpath -buildvcs=false" GOAMD64=v1 GOARM64=v8.0
echo "built with $(go env GOVERSION): another Go gives other bytes"

go run -tags manual ./cmd/lampblack manual "$work/pages"
go build -C tools -o "$work/archive" ./archive
for target in linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64; do
  system=${target%/*} processor=${target#*/}
  name=lampblack-$version-$system-$processor
  folder=$work/$name
  mkdir -p "$folder"
  program=lampblack pack=tar.gz
  if [ "$system" = windows ]; then program=lampblack.exe pack=zip; fi
  GOOS=$system GOARCH=$processor go build -ldflags "-s -w -buildid= -X main.released=$version" -o "$folder/$program" ./cmd/lampblack
  cp README.md LICENSE "$folder/"
  cp -r "$work/pages/man" "$work/pages/completions" "$folder/"
  if [ "$system" = linux ]; then cp "release/lampblack@.service" "$folder/"; fi
  "$work/archive" "$out/$name.$pack" "$folder"
  echo "$out/$name.$pack"
done
(cd "$out" && sha256sum lampblack-"$version"-*.tar.gz lampblack-"$version"-*.zip > "lampblack-$version.sha256")
echo "$out/lampblack-$version.sha256"
