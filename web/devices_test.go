package web

import (
	"bufio"
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"lampblack/web/admit"
	"lampblack/web/admit/admittest"
)

// hosted is a hall with an entrance for other machines, on listeners of its own.
type hosted struct {
	*Server
	run        *orders
	gate       *admit.Gate
	own, guest string // addresses
}

func host(t testing.TB) *hosted {
	t.Helper()
	h := &hosted{run: &orders{}, gate: ownGate()}
	there, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	h.Server, err = New(Options{Gate: h.gate, Show: openHall(t, 1), Control: h.run, Guest: there.Addr().String()})
	if err != nil {
		t.Fatal(err)
	}
	guests := &httptest.Server{Listener: there, Config: &http.Server{Handler: h.Guests()}}
	guests.Start()
	h.guest = guests.URL
	h.own = serve(t, h.Server)
	t.Cleanup(func() { h.Close(); guests.Close() })
	return h
}

// device is a phone without a browser.
type device struct {
	h     *hosted
	id    string
	key   []byte
	count int
}

// request is what the device would send; change, if any, is what somebody does to it on its way.
func (d *device) request(method, path, body string) *http.Request {
	r, err := http.NewRequest(method, d.h.guest+path, strings.NewReader(body))
	if err != nil {
		panic(err)
	}
	d.count++
	admittest.Sign(r, d.id, d.key, d.h.gate.Epoch(), fmt.Sprintf("nonce-%012d-%.6x", d.count, d.key), []byte(body), time.Now())
	return r
}

func (d *device) do(t testing.TB, method, path, body string) (int, string) {
	t.Helper()
	return send(t, d.request(method, path, body))
}

func send(t testing.TB, r *http.Request) (int, string) {
	t.Helper()
	a, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Body.Close()
	text, _ := io.ReadAll(a.Body)
	return a.StatusCode, string(text)
}

// pairs pairs a device by a link, as a page does.
func (h *hosted) pairs(t testing.TB, right admit.Right) *device {
	t.Helper()
	link, err := h.Invite(right, "")
	if err != nil {
		t.Fatal(err)
	}
	_, code, _ := strings.Cut(link, "#pair=")
	d := &device{h: h, id: "code", key: []byte(code)}
	r := d.request("POST", "/api/pair", "")
	_, rest, _ := strings.Cut(r.Header.Get("Signature-Input"), `nonce="`)
	nonce, _, _ := strings.Cut(rest, `"`)
	status, text := send(t, r)
	var e Entered
	if err := json.Unmarshal([]byte(text), &e); err != nil || status != http.StatusOK || e.Right != string(right) {
		t.Fatalf("pair: %d %s", status, text)
	}
	m := hmac.New(sha256.New, []byte(code)) // the key as the doc of package admit says
	m.Write([]byte("lampblack device key\n" + nonce))
	return &device{h: h, id: e.ID, key: m.Sum(nil)}
}

// what is asked for: all orders, and all that is read of the show.
var (
	allOrders = []string{"control/go", "control/hold", "control/back", "control/skip", "control/lights-up", "control/lights-down", "control/seek?to=5", "control/press?trigger=x",
		"sound", "hand", "aimed", "keep", "write", "undo", "doors/ask", "doors/try", "doors/tick", "doors/out", "doors/rest", "doors/finish", "devices/invite", "devices/allow", "devices/out"}
	allReads = []string{"/api/show", "/api/span?from=0&to=1", "/api/looks", "/api/findings", "/api/checks", "/api/order", "/api/rig", "/api/shape", "/api/light?from=0&to=1&step=1", "/api/room?at=1", "/api/readings?at=1", "/api/picture?at=1&from=0&width=160&height=90&of=seen&as=eye", "/api/point?at=1&from=0&width=160&height=90&of=seen&as=eye&x=1&y=1", "/api/events", "/api/doors", "/api/lamps", "/api/focus", "/api/reach?place=x", "/api/devices",
		"/plate/plan?at=1&of=lux", "/plate/plot", "/plate/gamut"}
)

// An unpaired device, and another user of this computer, can do nothing and read nothing; the
// page tells them so, and nothing of the show.
func TestTheUnpairedCanDoNothing(t *testing.T) {
	h := host(t)
	for name, url := range map[string]string{"another machine": h.guest, "another user here": h.own} {
		var all []*http.Request
		for _, path := range allOrders {
			r, _ := http.NewRequest("POST", url+"/api/"+path, strings.NewReader("{}"))
			all = append(all, r)
		}
		for _, path := range allReads {
			r, _ := http.NewRequest("GET", url+path, nil)
			all = append(all, r)
		}
		for _, r := range all {
			r.Header.Set("Authorization", "Bearer ")
			if status, text := send(t, r); status != http.StatusUnauthorized || strings.Contains(text, "Tide") || !strings.Contains(text, "paired") {
				t.Errorf("%s: %s %s: %d %.80s", name, r.Method, r.URL.Path, status, text)
			}
		}
		for _, p := range pages {
			r, _ := http.NewRequest("GET", url+p.Link(), nil)
			if status, text := send(t, r); status != http.StatusOK || strings.Contains(text, "Tide") || strings.Contains(text, ownKey) {
				t.Errorf("%s: %s: %d", name, p.Name, status)
			}
		}
	}
	// The key of this computer is none that comes from another, by whatever name it calls.
	for _, name := range []string{"", "127.0.0.1:8512", "localhost"} {
		r := byOwner("POST", h.guest+"/api/control/go", "")
		if name != "" {
			r.Host = name
		}
		if status, _ := send(t, r); status != http.StatusUnauthorized && status != http.StatusForbidden {
			t.Errorf("the owner's key from another machine that calls us %q: %d", name, status)
		}
	}
	if got := h.run.taken(); len(got) > 0 {
		t.Errorf("the run was asked for %q", got)
	}
}

// Replayed, cross-site, rebound, oversized and altered requests are refused.
func TestAttacks(t *testing.T) {
	h := host(t)
	d := h.pairs(t, admit.All)
	if status, text := d.do(t, "POST", "/api/control/go", ""); status != http.StatusNoContent {
		t.Fatalf("a paired device: %d %s", status, text)
	}
	heard := d.request("POST", "/api/control/go", "")
	send(t, heard)
	for name, c := range map[string]struct {
		status int
		change func(r *http.Request) *http.Request
	}{
		"replayed":                   {401, func(*http.Request) *http.Request { x := heard.Clone(t.Context()); x.Body = http.NoBody; return x }},
		"rebound":                    {403, func(r *http.Request) *http.Request { r.Host = "evil.example:8513"; return r }},
		"to another address of us":   {403, func(r *http.Request) *http.Request { r.Host = "192.168.1.99:8513"; return r }},
		"as if from this computer":   {403, func(r *http.Request) *http.Request { r.Host = "127.0.0.1:8512"; return r }},
		"cross-site by its origin":   {403, func(r *http.Request) *http.Request { r.Header.Set("Origin", "http://evil.example"); return r }},
		"cross-site as browsers say": {403, func(r *http.Request) *http.Request { r.Header.Set("Sec-Fetch-Site", "cross-site"); return r }},
		"another order":              {401, func(r *http.Request) *http.Request { r.URL.Path = "/api/control/lights-down"; return r }},
		"another body": {401, func(r *http.Request) *http.Request {
			r.Body, r.ContentLength = io.NopCloser(strings.NewReader("{}")), 2
			return r
		}},
		"a long address": {414, func(r *http.Request) *http.Request { r.URL.RawQuery = strings.Repeat("x", mostAddress); return r }},
		"a long body": {413, func(*http.Request) *http.Request {
			return d.request("POST", "/api/hand", strings.Repeat("x", mostOrder+1))
		}},
	} {
		if status, text := send(t, c.change(d.request("POST", "/api/control/go", ""))); status != c.status {
			t.Errorf("%s: %d, want %d: %s", name, status, c.status, text)
		}
	}
	if got := h.run.taken(); !slices.Equal(got, []string{"go", "go"}) {
		t.Errorf("the run was asked for %q", got)
	}
	// A page elsewhere reads nothing either.
	r := d.request("GET", "/api/show", "")
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	if status, _ := send(t, r); status != http.StatusForbidden {
		t.Errorf("a read from a page elsewhere: %d", status)
	}
}

// Each right does what it says, and no more.
func TestRightsOfOrders(t *testing.T) {
	h := host(t)
	by := map[admit.Right]*device{}
	for _, r := range admit.Rights() {
		by[r] = h.pairs(t, r)
	}
	for order, who := range map[string]string{
		"control/go": "go all", "control/skip": "go all", "control/lights-down": "go all", "control/alarm-reset": "go all", "control/lights-up": "focus go all", "control/press?trigger=x": "go all", "control/seek?to=1": "go all",
		"hand": "focus all", "aimed": "focus all", "doors/ask": "focus all", "doors/finish": "focus all",
		"keep": "all", "write": "all", "undo": "all",
		`sound {"do":"stop all"}`: "go all", `sound {"do":"trim"}`: "all", `sound {"do":"test signal"}`: "all", `sound {`: "all",
		"devices/invite": "", "devices/allow": "", "devices/out": "",
	} {
		path, body, _ := strings.Cut(order, " ")
		for r, d := range by {
			status, text := d.do(t, "POST", "/api/"+path, body)
			if may := status != http.StatusForbidden; may != slices.Contains(strings.Fields(who), string(r)) {
				t.Errorf("%s asks for %s: %d %s", r, order, status, text)
			}
		}
	}
	for r, d := range by {
		for _, path := range allReads {
			if path == "/api/events" {
				continue
			}
			if status, _ := d.do(t, "GET", path, ""); (status != http.StatusForbidden) != (path != "/api/devices") {
				t.Errorf("%s reads %s: %d", r, path, status)
			}
		}
		var c struct {
			Steerable, Rescues, Owner bool
			Right                     string
		}
		_, text := d.do(t, "GET", "/api/show", "")
		if err := json.Unmarshal([]byte(text), &c); err != nil || c.Owner || c.Right != string(r) || c.Steerable != (r == admit.Go || r == admit.All) || c.Rescues == (r == admit.Watch) {
			t.Errorf("%s: the page has %+v", r, c)
		}
	}
}

// A device that is taken out, or may do less, hears and does no more at once.
func TestTakenOutAtOnce(t *testing.T) {
	h := host(t)
	d := h.pairs(t, admit.Go)
	owner := func(do, body string) {
		t.Helper()
		if status, text := send(t, byOwner("POST", h.own+"/api/devices/"+do, body)); status != http.StatusNoContent {
			t.Fatalf("%s: %d %s", do, status, text)
		}
	}
	stream := func() *http.Response {
		t.Helper()
		r, err := http.DefaultClient.Do(d.request("GET", "/api/events", ""))
		if err != nil || r.StatusCode != http.StatusOK {
			t.Fatal(err, r.StatusCode)
		}
		if _, err := bufio.NewReader(r.Body).ReadString('\n'); err != nil {
			t.Fatal(err)
		}
		return r
	}
	ends := func(r *http.Response) {
		t.Helper()
		timer := time.AfterFunc(30*time.Second, func() { r.Body.Close() })
		if _, err := io.Copy(io.Discard, r.Body); err != nil || !timer.Stop() {
			t.Errorf("the stream did not end by itself: %v", err)
		}
	}
	events := stream()
	owner("allow", `{"id":"`+d.id+`","right":"watch"}`)
	ends(events)
	if status, _ := d.do(t, "POST", "/api/control/go", ""); status != http.StatusForbidden {
		t.Errorf("a device that may watch said go: %d", status)
	}
	events = stream()
	owner("out", `{"id":"`+d.id+`"}`)
	ends(events)
	if status, _ := d.do(t, "GET", "/api/show", ""); status != http.StatusUnauthorized {
		t.Errorf("a device that was taken out reads: %d", status)
	}
	// What was asked stands in the list, with who asked and what came of it.
	var p Paired
	if _, text := send(t, byOwner("GET", h.own+"/api/devices", "")); json.Unmarshal([]byte(text), &p) != nil || len(p.Devices) != 0 {
		t.Fatal(text)
	}
	var list []string
	for _, o := range slices.Backward(p.Orders) {
		list = append(list, o.Who+": "+o.Order+": "+o.Said)
	}
	want := []string{"phone 1: pair: done", "script: devices/allow " + d.id + " watch: done", "phone 1: control/go: not allowed", "script: devices/out " + d.id + ": done", "stranger: : not paired"}
	for i := range want {
		want[i] = strings.ReplaceAll(want[i], "control/", "")
	}
	if !slices.Equal(list, want) {
		t.Errorf("the list:\n%s\nwant\n%s", strings.Join(list, "\n"), strings.Join(want, "\n"))
	}
}

// A page that reads nothing of what it is told is cut off, and holds nobody up.
func TestSlowReaderIsCut(t *testing.T) {
	if testing.Short() || os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("long: it waits for a deadline")
	}
	h := host(t)
	d := h.pairs(t, admit.Watch)
	c, err := net.Dial("tcp", strings.TrimPrefix(h.guest, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	_ = c.(*net.TCPConn).SetReadBuffer(1)
	if err := d.request("GET", "/api/events", "").Write(c); err != nil {
		t.Fatal(err)
	}
	end := time.Now().Add(time.Minute)
	for h.Followers() == 0 && time.Now().Before(end) {
		time.Sleep(time.Millisecond)
	}
	big := strings.Repeat("x", 1<<20)
	for i := 0; h.Followers() > 0; i++ {
		if time.Now().After(end) {
			t.Fatal("a page that reads nothing has held its stream for a minute")
		}
		h.SetPlayhead(Playhead{At: float64(i), Running: true, Fault: big})
		time.Sleep(10 * time.Millisecond)
	}
}

// The page's own SHA-256 and HMAC against Go's, over lengths around the ends of blocks and at
// random.
func TestPageSignsAsTheProgram(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("outside check left out: needs node")
	}
	dir := t.TempDir()
	script := filepath.Join(dir, "sign.mjs")
	if out, err := exec.Command("go", "tool", "-modfile=../tools/go.mod", "esbuild", "ui/sign.ts", "--bundle", "--format=esm", "--outfile="+script, "--log-level=warning").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	type row struct{ Key, Text []byte }
	dice := rand.New(rand.NewPCG(14, 2))
	octets := func(n int) []byte {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(dice.Uint32())
		}
		return b
	}
	var rows []row
	for n := range 200 {
		rows = append(rows, row{octets(dice.IntN(100)), octets(n)})
	}
	rows = append(rows, row{octets(64), octets(70000)})
	in, _ := json.Marshal(rows)
	c := exec.Command(node, "--input-type=module", "-e", `import { sha256, hmac } from "`+script+`"; import { readFileSync } from "node:fs";
		const of = (t) => Uint8Array.from(Buffer.from(t, "base64")), text = (b) => Buffer.from(b).toString("base64");
		process.stdout.write(JSON.stringify(JSON.parse(readFileSync(0, "utf8")).map((r) => ({ Key: text(sha256(of(r.Text))), Text: text(hmac(of(r.Key), of(r.Text))) }))));`)
	c.Stdin = bytes.NewReader(in)
	out, err := c.Output()
	var got []row
	if err != nil || json.Unmarshal(out, &got) != nil || len(got) != len(rows) {
		t.Fatal(err, string(out))
	}
	for i, r := range rows {
		sum, m := sha256.Sum256(r.Text), hmac.New(sha256.New, r.Key)
		m.Write(r.Text)
		if !bytes.Equal(got[i].Key, sum[:]) || !bytes.Equal(got[i].Text, m.Sum(nil)) {
			t.Fatalf("%d octets: the page and the program differ", len(r.Text))
		}
	}
}

// waitThrough is wait for what a page shows once it has loaded itself anew.
func (p *tab) waitThrough(expression string) {
	p.Helper()
	for end := time.Now().Add(30 * time.Second); ; {
		ok, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](expression))
		if err == nil && ok {
			return
		}
		if time.Now().After(end) {
			p.Fatalf("waited for %s: %v", expression, err)
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// Two devices in a real browser: the laptop shows a code, a phone scans it and is paired, gives
// an order, is allowed less, and is taken out; and it goes on over a restart of the run.
func TestTwoDevices(t *testing.T) {
	h := host(t)
	h.SetPlayhead(Playhead{At: 20, Running: true, Clock: "the sound", State: "runs"})
	laptop := openTab(t, h.own+"/devices", 1280, 900)
	laptop.do(chromedp.Evaluate[chromedp.Void](`void (document.querySelector('[aria-label="what the next device may do"]').value = "go")`))
	laptop.do(chromedp.Evaluate[chromedp.Void](`[...document.querySelectorAll("button")].find((b) => b.textContent === "Show a code").click()`))
	laptop.wait(`!!document.querySelector(".invitation code")`)
	laptop.picture("devices-code")
	link := value[string](laptop, `document.querySelector(".invitation code").textContent`)
	if !strings.HasPrefix(link, h.guest+"/night#pair=") {
		t.Fatalf("the link is %q", link)
	}
	phone := openTab(t, link, 390, 844)
	if got := value[string](phone, `location.href`); strings.Contains(got, "pair") {
		t.Errorf("the code still stands in the address: %s", got)
	}
	laptop.wait(`document.querySelector(".devices tbody tr th")?.textContent === "phone 1" && !document.querySelector(".invitation code")`)
	phone.press(`[data-order="hold"]`)
	end := time.Now().Add(30 * time.Second)
	for !slices.Contains(h.run.taken(), "hold") {
		if time.Now().After(end) {
			t.Fatal("the phone's hold did not arrive")
		}
		time.Sleep(5 * time.Millisecond)
	}
	if got := value[string](phone, `document.getElementById("title").textContent`); !strings.Contains(got, "phone 1: go") {
		t.Errorf("the phone's head says %q", got)
	}
	if shown := value[bool](phone, `[...document.querySelectorAll("nav a")].some((a) => a.textContent === "Devices" && a.offsetParent)`); shown {
		t.Error("the phone is shown the way to the laptop's page")
	}
	laptop.wait(`[...document.querySelectorAll(".devices tbody tr")].some((r) => /phone 1.*hold.*done/.test(r.textContent))`)
	laptop.picture("devices")
	phone.picture("devices-phone")
	// Less, at once: the page loads anew and has its keys no more.
	laptop.do(chromedp.Evaluate[chromedp.Void](`(() => { const s = document.querySelector('[aria-label="what phone 1 may do"]'); s.value = "watch"; s.dispatchEvent(new Event("change")); })()`))
	phone.waitThrough(`document.documentElement.dataset.ready === "yes" && document.querySelector('[data-order="go"]')?.disabled === true`)
	// Taken out, at once.
	laptop.wait(`[...document.querySelectorAll("button")].some((b) => b.textContent === "Take out")`)
	laptop.do(chromedp.Evaluate[chromedp.Void](`[...document.querySelectorAll("button")].find((b) => b.textContent === "Take out").click()`))
	phone.waitThrough(`document.querySelector(".failure")?.textContent.startsWith("This browser is not paired") && !document.querySelector(".night")`)
	phone.picture("devices-taken-out")
}

// A page that was open before a restart of the run goes on: it hears the new run, and its orders
// are taken, on the laptop and on a phone.
func TestPagesGoOnOverARestart(t *testing.T) {
	run := &orders{}
	var kept []admit.Device
	place := func(address string) net.Listener {
		t.Helper()
		l, err := net.Listen("tcp", address)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	own, there := place("127.0.0.1:0"), place("127.0.0.1:0")
	start := func(own, there net.Listener, at float64) (s *Server, stop func()) {
		t.Helper()
		gate := admit.New(admit.Options{Own: ownKey, Devices: kept, Keep: func(d []admit.Device) { kept = d }})
		s, err := New(Options{Gate: gate, Show: openHall(t, 1), Control: run, Guest: there.Addr().String()})
		if err != nil {
			t.Fatal(err)
		}
		s.SetPlayhead(Playhead{At: at, Running: true, Held: true, Clock: "the sound"})
		a, b := &http.Server{Handler: s.Handler()}, &http.Server{Handler: s.Guests()}
		go a.Serve(own)
		go b.Serve(there)
		return s, func() { s.Close(); a.Close(); b.Close() }
	}
	s, stop := start(own, there, 10)
	link, err := s.Invite(admit.Go, "")
	if err != nil {
		t.Fatal(err)
	}
	laptop := openTab(t, "http://"+own.Addr().String()+"/night", 1280, 800)
	phone := openTab(t, link, 390, 844)
	for _, p := range []*tab{laptop, phone} {
		p.wait(`document.querySelector(".night .state").textContent.startsWith("0:10")`)
	}
	stop()
	_, stop = start(place(own.Addr().String()), place(there.Addr().String()), 30)
	defer stop()
	for i, p := range []*tab{laptop, phone} {
		p.waitThrough(`document.querySelector(".night .state")?.textContent.startsWith("0:30")`)
		p.press(`[data-order="back"]`)
		for end := time.Now().Add(30 * time.Second); len(run.taken()) <= i; time.Sleep(5 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("an order of page %d was not taken after the restart", i+1)
			}
		}
	}
}

// A page that is being paired while the run is started again asks once more, and is paired. On the
// laptop a code that pairs nothing any more is told, with a new one in its place.
func TestPairingOverARestart(t *testing.T) {
	var codes []admit.Code
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	own, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	begin := func(from []admit.Code) *Server {
		gate := admit.New(admit.Options{Own: ownKey, Codes: from, Waits: func(list []admit.Code) { codes = list }})
		s, err := New(Options{Gate: gate, Show: openHall(t, 1), Control: &orders{}, Guest: l.Addr().String()})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { s.Close() })
		return s
	}
	var now atomic.Pointer[Server]
	now.Store(begin(nil))
	link, err := now.Load().Invite(admit.Go, "")
	if err != nil {
		t.Fatal(err)
	}
	var died atomic.Bool
	guests := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/api/pair" && !died.Swap(true) {
			now.Store(begin(codes))
			panic(http.ErrAbortHandler) // the process is gone before it answers
		}
		now.Load().Guests().ServeHTTP(w, r)
	})}
	laptops := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { now.Load().Handler().ServeHTTP(w, r) })}
	go guests.Serve(l)
	go laptops.Serve(own)
	t.Cleanup(func() { guests.Close(); laptops.Close() })
	phone := openTab(t, link, 390, 844)
	phone.wait(`document.getElementById("title").textContent.includes("phone 1: go")`)
	if !died.Load() {
		t.Error("nothing died")
	}
	// What pairs nothing says so in words.
	late := openTab(t, link[:len(link)-26]+"aaaaaaaaaaaaaaaaaaaaaaaaaa", 390, 844)
	late.wait(`document.querySelector(".failure")?.textContent.startsWith("This link pairs nothing any more") || document.getElementById("title").textContent.includes("phone 1")`)

	laptop := openTab(t, "http://"+own.Addr().String()+"/devices", 1280, 900)
	laptop.do(chromedp.Evaluate[chromedp.Void](`[...document.querySelectorAll("button")].find((b) => b.textContent === "Show a code").click()`))
	laptop.wait(`!!document.querySelector(".invitation code")`)
	first := value[string](laptop, `document.querySelector(".invitation code").textContent`)
	now.Store(begin(nil))
	laptop.wait(`document.querySelector(".told").textContent.startsWith("The code that was shown here pairs nothing any more") && document.querySelector(".invitation code").textContent !== "` + first + `"`)
	laptop.picture("devices-new-code")
}
