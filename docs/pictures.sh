#!/bin/sh
# Takes the pictures of docs/pictures from the example show: every page in three windows, the print of
# the book, and a short picture that moves, in which a cue is made. It needs chromium, pdftoppm and ffmpeg.
set -eu
cd "$(dirname "$0")/.."
out=docs/pictures
rm -rf "$out"
mkdir -p "$out"
LAMPBLACK_LONG=1 LAMPBLACK_DOCS="$PWD/$out" go test -count=1 -timeout 30m -run 'TestDocsPictures$' ./web
pdftoppm -r 70 -png -f 1 -l 1 -singlefile "$out/book-print.pdf" "$out/book-print"
ffmpeg -v error -y -framerate 3 -i "$out/frames/%02d.png" -vf "split[a][b];[a]palettegen=max_colors=96:stats_mode=diff[p];[b][p]paletteuse=dither=none:diff_mode=rectangle" "$out/cue.gif"
rm -rf "$out/frames" "$out/book-print.pdf"
