#!/usr/bin/env bash
# The whole truth: everything that must hold before a change is taken, on a
# fresh Debian or Ubuntu with Go. Installs the packages that the tests' outside
# checks need when it may (root), and otherwise names them and stops.
#
#   ./test.sh          all of it, under 25 minutes on 2 cores
#   ./test.sh --quick  form and short tests for daily work, under a minute; the
#                      slow ones (tools/slow.txt) and all outside checks that are
#                      not installed are left out
#   ./test.sh --long   with the long forms of the tests: more seeds, hours of time
#                      code, whole runs on the wire
#
# Random tests run with a fixed seed, so that a change is judged by what it
# changes. The long form draws a fresh one and prints it; give it back with
# RAPID_SEED=N ./test.sh.
set -euo pipefail
cd "$(dirname "$0")"

packages=(
  tshark midicsv python3-mido liblo-tools libltc-dev libxml2-utils   # wires and files
  ffmpeg lame flac vorbis-tools opus-tools sox                       # sound files
  aubio-tools espeak-ng fluidsynth fluid-soundfont-gm timgm6mb-soundfont  # listening
  openttd-openmsx libebur128-dev supertux-data                       # music, loudness
  argyll argyll-ref python3-colormath                                # colour
  python3-jsonschema                                                 # schemas
  tzdata                                                             # time zones, as python reads them
  chromium poppler-utils qpdf fonts-dejavu-core librsvg2-bin         # pages and paper
  pulseaudio pulseaudio-utils socat iproute2 gcc libc6-dev nodejs npm
)

say() { printf '\n== %s (%d s)\n' "$*" "$SECONDS"; }

if [ "${1:-}" = --quick ]; then
  say "form: gofmt, vet"
  unformatted=$(gofmt -l $(git ls-files '*.go'))
  [ -z "$unformatted" ] || { echo "not formatted: $unformatted"; exit 1; }
  go vet ./...
  export RAPID_SEED=${RAPID_SEED:-20260314}
  say "short tests, with random ones from seed $RAPID_SEED"
  whole=$(grep -v '[#/]' tools/slow.txt | paste -sd '|')
  parts=$(grep -v '#' tools/slow.txt | grep / | sed 's,/,$/^,; s,^,^,; s,$,$,' | paste -sd '|')
  go test -short -skip "^($whole)\$|$parts" ./...
  say "passed; ./test.sh is the whole"
  exit
fi

say "packages for the outside checks"
missing=()
for p in "${packages[@]}"; do
  case $p in
    nodejs) command -v node >/dev/null && continue ;;
    npm) command -v npm >/dev/null && continue ;;
  esac
  dpkg-query -W -f='${Status}' "$p" 2>/dev/null | grep -q 'install ok installed' || missing+=("$p")
done
if [ ${#missing[@]} -gt 0 ]; then
  if [ "$(id -u)" -ne 0 ]; then
    echo "these Debian packages are missing: ${missing[*]}"
    echo "install them: sudo apt-get install ${missing[*]}"
    exit 2
  fi
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
fi
for dir in web/ui wire/testdata; do
  [ -f "$dir/package-lock.json" ] && (cd "$dir" && npm ci --silent --no-audit --no-fund)
done

say "form: gofmt, vet, staticcheck"
unformatted=$(gofmt -l $(git ls-files '*.go'))
[ -z "$unformatted" ] || { echo "not formatted: $unformatted"; exit 1; }
go vet ./...
go tool -modfile=tools/go.mod staticcheck ./...

say "no code that nothing reaches"
unreached=$(go tool -modfile=tools/go.mod deadcode ./... | grep -vE "$(grep -v '^#' tools/unreached.txt | paste -sd '|')" || true)
[ -z "$unreached" ] || { echo "$unreached"; exit 1; }

say "other systems: it builds without cgo"
targets=windows/amd64
[ "${1:-}" != --long ] || targets="windows/amd64 darwin/arm64 linux/arm64"
for target in $targets; do
  CGO_ENABLED=0 GOOS=${target%/*} GOARCH=${target#*/} go build -o /dev/null ./cmd/lampblack
done

say "generated files are fresh"
go generate ./...
git diff --exit-code --stat

if [ "${1:-}" = --long ]; then
  export RAPID_SEED=${RAPID_SEED:-$(od -An -N6 -tu8 /dev/urandom | tr -d ' ')}
else
  export RAPID_SEED=${RAPID_SEED:-20260314}
fi
say "tests, with random ones from seed $RAPID_SEED"
if [ "${1:-}" = --long ]; then
  LAMPBLACK_LONG=1 go test -timeout 60m ./...
else
  go test -timeout 20m ./...
fi

if [ "${1:-}" = --long ]; then
  say "do the tests bite? small changes to the code, drawn with seed $RAPID_SEED"
  # A change can make a loop eat all memory: within bounds it dies, and is caught.
  (ulimit -v 8000000 && go run -C tools ./mutate run --some 60 --floor 85 --seed "$RAPID_SEED")
fi

if [ "${1:-}" = --long ]; then
  say "tests with the race detector"
  go test -race -short -timeout 30m ./...
else
  say "tests of what starts goroutines, with the race detector"
  started=$(git ls-files '*.go' | grep -v _test.go | xargs grep -lE '^\s*go |\.Go\(' | grep -vE '^(tools|cmd|soundtrack/truth|demo|room|show|positions)/' | xargs -n1 dirname | sort -u | sed 's|^|./|')
  # Slow tests, and rooms that are solved, take minutes each with it: the long form has them.
  whole=$(grep -v '[#/]' tools/slow.txt | paste -sd '|')
  go test -race -short -timeout 20m -skip "^($whole)\$" $started
fi

if [ "${1:-}" = --long ]; then
  say "the benchmarks against what they took last time"
  go test -run '^$' -bench . -benchtime 100ms -timeout 20m ./... | go run -C tools ./bench ../docs/measured/bench.tsv
else
  say "each benchmark once"
  go test -short -run '^$' -bench . -benchtime 1x -timeout 20m ./... | grep -v 'no test files'
fi

if [ "${1:-}" = --long ]; then
  say "a release, twice: the same bytes"
  one=$(mktemp -d) two=$(mktemp -d)
  ./release.sh v0.0.0 "$one" >/dev/null
  ./release.sh v0.0.0 "$two" >/dev/null
  diff "$one/lampblack-v0.0.0.sha256" "$two/lampblack-v0.0.0.sha256"
  rm -rf "$one" "$two"
fi

say "the tree is clean"
git diff --exit-code --stat
[ -z "$(git status --porcelain)" ] || { git status --short; exit 1; }
say "all passed"
