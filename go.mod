module lampblack

go 1.26.0

require (
	codeberg.org/go-pdf/fpdf v0.12.0 // writes PDF with fonts inside, for the papers
	github.com/chromedp/cdproto v0.159.0 // tests only: what a page costs the browser
	github.com/chromedp/chromedp v0.23.0 // tests only: drives a real browser against the book
	github.com/ebitengine/oto/v3 v3.4.0 // sound on macOS and Windows, without cgo there
	github.com/jfreymuth/pulse v0.1.1 // sound on Linux: the PulseAudio protocol, which PipeWire serves too
	github.com/klauspost/compress v1.20.4 // texts of the pages, compressed on their way to a phone
	github.com/pion/opus v0.1.0 // Opus decoding in pure Go
	github.com/rogpeppe/go-internal v1.16.0 // tests only: scripts of the command line
	github.com/spf13/cobra v1.10.2 // subcommands, long flags and completions for four shells
	go.bug.st/serial v1.8.0 // serial ports on three systems, odd speeds included
	go.yaml.in/yaml/v4 v4.0.0 // the YAML library that gives every fault and node its place
	golang.org/x/image v0.47.0 // rasterising pictures and their letters
	golang.org/x/net v0.62.0 // multicast and batched datagrams
	golang.org/x/sys v0.50.0 // terminals, pseudo-terminals and devices; locks of files on Windows
	golang.org/x/term v0.48.0 // keys and widths of terminals
	gonum.org/v1/gonum v0.17.0 // numerics: linear algebra, linear programming, oracles of tests
	pgregory.net/rapid v1.3.0 // tests only: property tests that shrink
	rsc.io/qr v0.2.0 // the code by which a phone finds the book
)

require (
	github.com/cpuguy83/go-md2man/v2 v2.0.6 // indirect
	github.com/ebitengine/purego v0.9.0 // indirect
	github.com/go-json-experiment/json v0.0.0-20260213210345-44df1a37e875 // indirect
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	github.com/russross/blackfriday/v2 v2.1.0 // indirect
	github.com/spf13/pflag v1.0.9 // indirect
	go.yaml.in/yaml/v3 v3.0.4 // indirect
	golang.org/x/text v0.43.0 // indirect
	golang.org/x/tools v0.51.0 // indirect
)
