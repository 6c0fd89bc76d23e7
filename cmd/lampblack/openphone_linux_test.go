package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lampblack/show"
	"lampblack/web/admit"
	"lampblack/web/admit/admittest"
)

// openedPhone is a book that is open for a phone, over a show without a run.
func openedPhone(t *testing.T, s *show.Show, f phoneFlags, journal string) (p *phone, gate *admit.Gate, b *book, closes func()) {
	t.Helper()
	p, err := f.open(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	keeps := newScribe(func(_, text string) { t.Error(text) })
	gate, _ = openGate(t.Context(), io.Discard, keeps, p, f.length, journal)
	if b, err = newBook(s, nil, "", true, gate, p, nil); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- b.serve(ctx, []way{{p.listener, b.server.Guests()}}) }()
	return p, gate, b, func() {
		cancel()
		if err := <-done; err != nil {
			t.Error(err)
		}
		gate.Flush()
		keeps.close()
	}
}

// A device stays paired over a restart of the run; its key lies where nobody else reads it, and
// what it asked for beside the journal.
func TestPairedOverARestart(t *testing.T) {
	t.Setenv("LAMPBLACK_STATE", filepath.Join(t.TempDir(), "state"))
	s := smallShown(t)
	journal := filepath.Join(t.TempDir(), "night.jsonl")
	f := phoneFlags{address: "127.0.0.1:0", may: "go", length: time.Hour}
	p, gate, b, closes := openedPhone(t, s, f, journal)
	link, err := b.server.Invite(admit.Go, "")
	if err != nil {
		t.Fatal(err)
	}
	_, code, _ := strings.Cut(link, "#pair=")
	// Each asks by a connection of its own: one that is kept open ends with the run, and an order
	// that goes out by it is lost.
	client := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	ask := func(gate *admit.Gate, id string, key []byte, path, nonce string) int {
		t.Helper()
		r, _ := http.NewRequest("POST", "http://"+p.address+path, nil)
		admittest.Sign(r, id, key, gate.Epoch(), nonce, nil, time.Now())
		a, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		a.Body.Close()
		return a.StatusCode
	}
	if got := ask(gate, "code", []byte(code), "/api/pair", "0123456789abcdef"); got != http.StatusOK {
		t.Fatalf("pair: %d", got)
	}
	d := gate.Devices()[0]
	if got := ask(gate, d.ID, d.Key, "/api/control/go", "0123456789abcdef"); got != http.StatusNoContent {
		t.Errorf("go: %d", got)
	}
	closes()
	f.address = p.address
	p, gate, _, closes = openedPhone(t, s, f, journal)
	if p.address != f.address {
		t.Skip("another program has taken the port meanwhile")
	}
	if got := ask(gate, d.ID, d.Key, "/api/control/go", "0123456789abcdeg"); got != http.StatusNoContent {
		t.Errorf("go after the restart: %d", got)
	}
	closes()
	orders, err := os.ReadFile(strings.TrimSuffix(journal, ".jsonl") + ".orders")
	if n := strings.Count(string(orders), `"order":"go","said":"done"`); err != nil || n != 2 {
		t.Errorf("%v: the list has %d goes:\n%s", err, n, orders)
	}
	if strings.Contains(string(orders), code) {
		t.Error("the code stands in the list")
	}
	for _, name := range []string{"key", "devices"} {
		_ = filepath.WalkDir(filepath.Join(userState(), name), func(path string, e os.DirEntry, err error) error {
			if info, no := e.Info(); no != nil || info.Mode().Perm()&0o077 != 0 {
				t.Errorf("%s: %v, others may read it", path, info.Mode())
			}
			return err
		})
	}
	// A list that others could have read pairs nobody.
	file, _ := pairedFile(p.address)
	if err := os.Chmod(file, 0o644); err != nil {
		t.Fatal(err)
	}
	if list := readPaired(t.Context(), io.Discard, p.address); len(list) > 0 {
		t.Errorf("a list that others could read: %d devices", len(list))
	}
}

func smallShown(t *testing.T) *show.Show {
	t.Helper()
	l, err := solve(t.Context(), io.Discard, small(t), reading{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.close() })
	return l.show
}

// The key of this computer's user stays over a restart, unless others could read it.
func TestOwnKeyIsKept(t *testing.T) {
	t.Setenv("LAMPBLACK_STATE", filepath.Join(t.TempDir(), "state"))
	var words strings.Builder
	key, kept := ownKey(t.Context(), &words)
	if again, _ := ownKey(t.Context(), &words); len(key) != 26 || !kept || again != key || words.Len() > 0 {
		t.Errorf("the key %q did not stay: %s", key, words.String())
	}
	name := filepath.Join(userState(), "key")
	if err := os.Chmod(name, 0o640); err != nil {
		t.Fatal(err)
	}
	if again, _ := ownKey(t.Context(), &words); again == key || !strings.Contains(words.String(), "could be read by others") {
		t.Errorf("a key that others could read stays: %s", words.String())
	}
	if err := os.WriteFile(name, []byte("../../etc"), 0o600); err != nil {
		t.Fatal(err)
	}
	if again, _ := ownKey(t.Context(), io.Discard); !keyText.MatchString(again) {
		t.Errorf("a damaged key is taken: %q", again)
	}
	t.Setenv("LAMPBLACK_STATE", filepath.Join(name, "below a file"))
	words.Reset()
	if got, kept := ownKey(t.Context(), &words); !keyText.MatchString(got) || kept || !strings.Contains(words.String(), "cannot be kept") {
		t.Errorf("nowhere to keep it: %q %s", got, words.String())
	}
}

// TLS with a certificate of this computer's own: it is for the address, its print is told, and it
// stays over a restart.
func TestOwnSeal(t *testing.T) {
	t.Setenv("LAMPBLACK_STATE", filepath.Join(t.TempDir(), "state"))
	s := smallShown(t)
	p, _, b, closes := openedPhone(t, s, phoneFlags{address: "127.0.0.1:0", may: "watch", tls: selfMade, length: time.Hour}, "")
	defer closes()
	var told strings.Builder
	p.tell(&told, b.server)
	if !strings.Contains(told.String(), "https://"+p.address+"/night#pair=") || !strings.Contains(told.String(), p.seal.print) || len(p.seal.print) != 95 {
		t.Errorf("it tells %s", told.String())
	}
	leaf := p.seal.config.Certificates[0].Leaf
	roots := x509.NewCertPool()
	roots.AddCert(leaf)
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}}}
	a, err := client.Get("https://" + p.address + "/night")
	if err != nil || a.StatusCode != http.StatusOK {
		t.Fatal(err)
	}
	a.Body.Close()
	client.CloseIdleConnections()
	again, err := openSeal(t.Context(), selfMade, p.listener.Addr())
	if err != nil || again.print != p.seal.print {
		t.Errorf("another certificate after a restart: %v", err)
	}
	for asked, want := range map[string]string{"hall.pem": "names no certificate and key", "none.pem,none-key.pem": "read the certificate"} {
		if _, err := openSeal(t.Context(), asked, p.listener.Addr()); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("--tls %s: %v", asked, err)
		}
	}
}

// Another machine that opens connections without end keeps nobody else out.
func TestConnectionsAreBounded(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	bounded := &boundedListener{Listener: l}
	accepted := make(chan net.Conn, 2*mostOfAnAddress)
	go func() {
		for {
			c, err := bounded.Accept()
			if err != nil {
				close(accepted)
				return
			}
			accepted <- c
		}
	}()
	for range mostOfAnAddress {
		if _, err := net.Dial("tcp", l.Addr().String()); err != nil {
			t.Fatal(err)
		}
	}
	var held []net.Conn
	for range mostOfAnAddress {
		held = append(held, <-accepted)
	}
	c, err := net.Dial("tcp", l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Read(make([]byte, 1)); !errors.Is(err, io.EOF) && err == nil {
		t.Error("one too many is served")
	}
	_ = held[0].Close()
	_ = held[0].Close()
	if _, err = net.Dial("tcp", l.Addr().String()); err != nil {
		t.Fatal(err)
	}
	<-accepted
	_ = l.Close()
}
