package main

import (
	"bufio"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"lampblack/web"
	"lampblack/web/admit/admittest"
)

// phoneOf pairs a device by the link that a command prints, and returns what signs as it.
func phoneOf(t *testing.T, link string) (url string, sign func(method, path, body string) *http.Request) {
	t.Helper()
	url, code, _ := strings.Cut(link, "#pair=")
	url = url[:strings.LastIndex(url, "/")]
	shell, err := http.Get(url + "/night")
	if err != nil {
		t.Fatal(err)
	}
	text, _ := io.ReadAll(shell.Body)
	shell.Body.Close()
	_, rest, _ := strings.Cut(string(text), `data-epoch="`)
	epoch, _, _ := strings.Cut(rest, `"`)
	id, key, n := "code", []byte(code), 0
	var mu sync.Mutex
	sign = func(method, path, body string) *http.Request {
		r, _ := http.NewRequest(method, url+path, strings.NewReader(body))
		mu.Lock()
		n++
		nonce := fmt.Sprintf("nonce-%012d", n)
		mu.Unlock()
		admittest.Sign(r, id, key, epoch, nonce, []byte(body), time.Now())
		return r
	}
	a, err := http.DefaultClient.Do(sign("POST", "/api/pair", ""))
	if err != nil {
		t.Fatal(err)
	}
	defer a.Body.Close()
	var e web.Entered
	if err := json.NewDecoder(a.Body).Decode(&e); err != nil || e.ID == "" {
		t.Fatalf("pair: %d %v", a.StatusCode, err)
	}
	m := hmac.New(sha256.New, key)
	fmt.Fprintf(m, "lampblack device key\n%s", "nonce-000000000001")
	id, key = e.ID, m.Sum(nil)
	return url, sign
}

// flood asks so often a second until the context ends: good orders and reads, replays, forgeries,
// strangers, and what is too long, in turn. It returns how often each status was answered.
func flood(ctx context.Context, url string, sign func(method, path, body string) *http.Request, rate int) map[int]int {
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 12, MaxConnsPerHost: 12}}
	defer client.CloseIdleConnections()
	heard := sign("POST", "/api/control/hold", "")
	answers := map[int]int{}
	var mu sync.Mutex
	var all sync.WaitGroup
	defer all.Wait()
	tick := time.NewTicker(time.Second / time.Duration(rate))
	defer tick.Stop()
	for i := 0; ; i++ {
		select {
		case <-ctx.Done():
			return answers
		case <-tick.C:
		}
		var r *http.Request
		kind := i % 5
		if i%50 == 5 { // seldom: its connection is closed, and an address has few
			kind = 5
		}
		switch kind {
		case 0:
			r = sign("POST", "/api/control/hold", "")
		case 1:
			r, _ = http.NewRequest("GET", url+"/api/show", nil)
		case 2:
			r = sign("POST", "/api/hand", `{"do":"set"}`)
			r.Body, r.ContentLength = io.NopCloser(strings.NewReader(`{"do":"all"}`)), 12
		case 3:
			r = heard.Clone(context.Background())
			r.Body = http.NoBody
		case 4:
			r = sign("GET", "/api/lamps", "")
		default:
			r = sign("POST", "/api/hand", strings.Repeat("x", 65<<10))
		}
		all.Go(func() {
			a, err := client.Do(r)
			status := 0
			if err == nil {
				status = a.StatusCode
				_, _ = io.Copy(io.Discard, a.Body)
				_ = a.Body.Close()
			}
			mu.Lock()
			answers[status]++
			mu.Unlock()
		})
	}
}

// spacing is by how much the frames of the next while part from their period, sorted.
func (x *tap) spacing(length time.Duration) (off []time.Duration) {
	x.mu.Lock()
	x.film = nil
	x.mu.Unlock()
	time.Sleep(length)
	x.mu.Lock()
	defer x.mu.Unlock()
	const period = time.Second / 44
	for i := 1; i < len(x.film); i++ {
		off = append(off, (x.film[i].came.Sub(x.film[i-1].came) - period).Abs())
	}
	slices.Sort(off)
	return off
}

// Five hundred requests a second do not move the frame figure: the spacing of the frames on the
// wire, in turns with and without, in one run. The flood is made on the same computer, and takes
// its share of it.
func TestFramesUnderAFlood(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("long: it measures for two minutes")
	}
	dir, x := small(t), newTap(t)
	_, port, _ := net.SplitHostPort(x.conn.LocalAddr().String())
	c := exec.Command(os.Args[0], "open", dir, "--run", "--silent", "--address", "127.0.0.1:0", "--phone=127.0.0.1:0", "--phone-may", "all", "--outputs", "e131 127.0.0.1 port "+port)
	c.Env = append(os.Environ(), "LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_TEST_COARSE=1", "PULSE_SERVER=unix:/nowhere")
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Process.Kill(); _ = c.Wait() })
	lines := bufio.NewReader(out)
	link := ""
	for !strings.Contains(link, "#pair=") {
		if link, err = lines.ReadString('\n'); err != nil {
			t.Fatal(err)
		}
	}
	url, sign := phoneOf(t, strings.TrimSpace(link[strings.Index(link, "http://"):]))
	x.await(t, "anything is sent", func([]byte) bool { return true })
	// Light that does not change is sent more seldom: a lamp pulses all the time.
	if a, err := http.DefaultClient.Do(sign("POST", "/api/hand", `{"do":"pulse","units":["1"]}`)); err != nil || a.StatusCode != http.StatusNoContent {
		t.Fatal(err, a)
	}
	var without, with []time.Duration
	answers := map[int]int{}
	for range 6 {
		without = append(without, x.spacing(10*time.Second)...)
		ctx, stop := context.WithCancel(t.Context())
		done := make(chan map[int]int)
		go func() { done <- flood(ctx, url, sign, 500) }()
		with = append(with, x.spacing(10*time.Second)...)
		stop()
		for status, n := range <-done {
			answers[status] += n
		}
	}
	slices.Sort(without)
	slices.Sort(with)
	at := func(l []time.Duration, share float64) time.Duration {
		return l[min(int(share*float64(len(l))), len(l)-1)]
	}
	for _, l := range []struct {
		name string
		off  []time.Duration
	}{{"without", without}, {"with", with}} {
		t.Logf("%s: %d frames, spacing off by %v (median), %v (99 %%), %v (99.9 %%), %v (worst)", l.name, len(l.off), at(l.off, .5), at(l.off, .99), at(l.off, .999), l.off[len(l.off)-1])
	}
	t.Logf("answers by status: %v", answers)
	if len(with) < len(without)*9/10 {
		t.Errorf("%d frames came under the flood, %d without", len(with), len(without))
	}
	if a, b := at(without, .5), at(with, .5); b > 5*a && b > 2*time.Millisecond {
		t.Errorf("the median spacing went off from %v to %v", a, b)
	}
}
