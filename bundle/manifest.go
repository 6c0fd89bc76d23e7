package bundle

import (
	"encoding/hex"
	"fmt"
	"strings"
)

// sum is the SHA-256 of a file's bytes.
type sum [32]byte

func (s sum) String() string { return hex.EncodeToString(s[:]) }

// listed is one line of a list of sums.
type listed struct {
	name string
	sum  sum
}

// Names may hold a per cent sign, which RFC 8493 (section 2.1.3) has written so, and
// line ends, which ours never do.
var (
	written = strings.NewReplacer("%", "%25", "\n", "%0A", "\r", "%0D")
	meant   = strings.NewReplacer("%25", "%", "%0A", "\n", "%0D", "\r", "%0a", "\n", "%0d", "\r")
)

// manifest writes a list of sums, a line for each file: the sum in hex, two spaces, the
// name, as common programs that check sums read it too.
func manifest(list []listed) string {
	var b strings.Builder
	for _, l := range list {
		fmt.Fprintf(&b, "%s  %s\n", l.sum, written.Replace(l.name))
	}
	return b.String()
}

// readManifest reads a list of sums; bad are lines that are none.
func readManifest(text string) (list []listed, bad int) {
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\r\n")
		if line == "" {
			continue
		}
		digits, name, ok := strings.Cut(line, " ")
		raw, err := hex.DecodeString(digits)
		// An asterisk before the name says that the file was read as bytes, in some programs' lists.
		name = strings.TrimPrefix(strings.TrimLeft(name, " \t"), "*")
		l := listed{name: strings.TrimPrefix(meant.Replace(name), "./")}
		if !ok || err != nil || copy(l.sum[:], raw) != len(l.sum) || len(raw) != len(l.sum) || l.name == "" {
			bad++
			continue
		}
		list = append(list, l)
	}
	return list, bad
}
