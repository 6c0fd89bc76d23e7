// Package outside lets the tests of the wire packages show their bytes to
// programs that know the same standards and have nothing to do with this
// project: tshark, small Python and Node programs, C libraries. A check whose
// program is missing is left out with a word that names it. Only tests import
// this package.
package outside

import (
	"bytes"
	"encoding/hex"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// Need leaves the test out unless every program is on the path; debian is the
// package that holds them.
func Need(t testing.TB, debian string, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err != nil {
			t.Skipf("outside check left out: needs %s (Debian package %s)", p, debian)
		}
	}
}

// Run runs a program to its end and returns what it printed.
func Run(t testing.TB, name string, args ...string) string {
	t.Helper()
	return RunWith(t, nil, name, args...)
}

// RunWith is Run with bytes on the program's standard input.
func RunWith(t testing.TB, input []byte, name string, args ...string) string {
	t.Helper()
	return run(t, "", input, name, args...)
}

// run ends the program with the test, and fails the test with what it complained of.
func run(t testing.TB, dir string, input []byte, name string, args ...string) string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), name, args...)
	cmd.Dir, cmd.Stdin = dir, bytes.NewReader(input)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, stderr.Bytes())
	}
	return string(out)
}

// Dissect writes the UDP datagrams into a capture file and returns one line of
// tshark's output a datagram: the fields, with tabs between. The options come
// before the fields, for dissectors that are off by default.
func Dissect(t testing.TB, port int, datagrams [][]byte, options []string, fields ...string) []string {
	t.Helper()
	args := append([]string{"-r", capture(t, port, datagrams), "-T", "fields"}, options...)
	for _, f := range fields {
		args = append(args, "-e", f)
	}
	out := strings.TrimSuffix(Run(t, "tshark", args...), "\n")
	return strings.Split(out, "\n")
}

// Explain is Dissect with tshark's full text about one protocol.
func Explain(t testing.TB, port int, datagrams [][]byte, protocol string, options ...string) string {
	t.Helper()
	args := append([]string{"-r", capture(t, port, datagrams), "-O", protocol}, options...)
	return Run(t, "tshark", args...)
}

// capture makes a capture file by way of a dump in hexadecimal digits, which text2pcap
// wraps in Ethernet, IPv4 and UDP.
func capture(t testing.TB, port int, datagrams [][]byte) string {
	t.Helper()
	Need(t, "tshark", "tshark", "text2pcap")
	dir := t.TempDir()
	dump, pcap := filepath.Join(dir, "packets.hex"), filepath.Join(dir, "packets.pcap")
	var text bytes.Buffer
	for _, d := range datagrams {
		for i := 0; i < len(d); i += 16 {
			fmt.Fprintf(&text, "%06x % x\n", i, d[i:min(i+16, len(d))])
		}
		text.WriteByte('\n')
	}
	if err := os.WriteFile(dump, text.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	Run(t, "text2pcap", "-q", "-4", "10.0.0.1,239.255.0.1", "-u", fmt.Sprintf("50000,%d", port), dump, pcap)
	return pcap
}

// Node runs a small Node program in which mod is the npm module and input the
// bytes given, and returns what it printed.
func Node(t testing.TB, module, program string, input []byte) string {
	t.Helper()
	Need(t, "nodejs", "node")
	_, file, _, _ := runtime.Caller(0)
	dir := filepath.Join(filepath.Dir(file), "..", "testdata")
	if _, err := os.Stat(filepath.Join(dir, "node_modules", module)); err != nil {
		t.Skipf("outside check left out: needs npm module %s (npm ci in wire/testdata)", module)
	}
	head := fmt.Sprintf("import * as m from %q; import fs from 'node:fs';\nconst mod = m.default ?? m, input = fs.readFileSync(0);\n", module)
	return run(t, dir, input, "node", "--input-type=module", "-e", head+program)
}

// Hex reads octets written as hex with spaces and line breaks between.
func Hex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.Join(strings.Fields(s), ""))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Compile builds a small C program against the library that the header belongs
// to and returns its path; debian is the package that holds both.
func Compile(t testing.TB, debian, header, library, program string) string {
	t.Helper()
	Need(t, "gcc", "gcc")
	dir := t.TempDir()
	source, binary := filepath.Join(dir, "check.c"), filepath.Join(dir, "check")
	text := fmt.Sprintf("#include <stdio.h>\n#include <stdlib.h>\n#include <string.h>\n#include <%s>\n%s", header, program)
	if err := os.WriteFile(source, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("gcc", "-O2", "-o", binary, source, "-l"+library).CombinedOutput()
	switch {
	case err == nil:
		return binary
	case strings.Contains(string(out), header+": No such file"):
		t.Skipf("outside check left out: needs %s (Debian package %s)", header, debian)
	}
	t.Fatalf("gcc: %v\n%s", err, out)
	return ""
}
