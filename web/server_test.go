package web

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/check/finding"
	"lampblack/play/leaktest"
	"lampblack/web/admit"
	"lampblack/web/page"
)

// orders remembers what a run was asked for.
type orders struct {
	mu   sync.Mutex
	list []string
}

func (o *orders) add(s string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.list = append(o.list, s)
}

func (o *orders) Hold()                 { o.add("hold") }
func (o *orders) Go()                   { o.add("go") }
func (o *orders) Skip()                 { o.add("skip") }
func (o *orders) Press(trigger string)  { o.add("press " + trigger) }
func (o *orders) Back()                 { o.add("back") }
func (o *orders) LightsUp()             { o.add("lights up") }
func (o *orders) LightsDown()           { o.add("lights down") }
func (o *orders) ResetAlarm()           { o.add("alarm reset") }
func (o *orders) Edit(do string) string { o.add("edit " + do); return "" }
func (o *orders) Seek(t time.Duration)  { o.add("seek " + t.String()) }

func (o *orders) taken() []string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return slices.Clone(o.list)
}

// ownKey is that of the user of this computer in tests.
const ownKey = "thekeyofthiscomputer"

func ownGate() *admit.Gate { return admit.New(admit.Options{Own: ownKey}) }

// asOwner is what a script in a page adds to what it fetches.
const asOwner = `{headers: {Authorization: "Bearer ` + ownKey + `"}}`

// byOwner is a request of a script of this computer's user.
func byOwner(method, url, body string) *http.Request {
	r, err := http.NewRequest(method, url, strings.NewReader(body))
	if err != nil {
		panic(err)
	}
	r.Header.Set("Authorization", "Bearer "+ownKey)
	return r
}

// ask sends one request straight to the handler, as if from the given host.
func ask(t *testing.T, s *Server, method, host, path string, header map[string]string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(method, "http://"+host+path, nil)
	r.Header.Set("Authorization", "Bearer "+ownKey)
	for k, v := range header {
		r.Header.Set(k, v)
	}
	return askRequest(s, r)
}

func askRequest(s *Server, r *http.Request) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	return w
}

func newHall(t testing.TB, c Control) *Server {
	t.Helper()
	s, err := New(Options{Gate: ownGate(), Show: openHall(t, 1), Findings: hallFindings(), Control: c})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestWhoIsAnswered(t *testing.T) {
	run := &orders{}
	s := newHall(t, run)
	here := "127.0.0.1:8512"
	for _, c := range []struct {
		name, method, host, path string
		header                   map[string]string
		status                   int
	}{
		{"own name", "GET", here, "/api/show", nil, 200},
		{"localhost", "GET", "localhost:8512", "/", nil, 200},
		{"IPv6 loopback", "GET", "[::1]:8512", "/night", nil, 200},
		{"no port", "GET", "localhost", "/", nil, 200},
		{"a name that was pointed here", "GET", "evil.example:8512", "/api/show", nil, 403},
		{"another address", "GET", "192.168.1.20:8512", "/", nil, 403},
		{"a name that begins like ours", "GET", "localhost.evil.example", "/", nil, 403},
		{"a write from a page elsewhere", "POST", here, "/api/control/go", map[string]string{"Origin": "http://evil.example"}, 403},
		{"a write that the browser calls cross-site", "POST", here, "/api/control/go", map[string]string{"Sec-Fetch-Site": "cross-site"}, 403},
		{"a write from another port of this machine", "POST", here, "/api/control/go", map[string]string{"Origin": "http://127.0.0.1:9999"}, 403},
		{"a write by GET", "GET", here, "/api/control/go", nil, 405},
		{"no such page", "GET", here, "/nothing", nil, 404},
		{"a path that climbs", "GET", here, "/built/../server.go", nil, 404},
	} {
		t.Run(c.name, func(t *testing.T) {
			if w := ask(t, s, c.method, c.host, c.path, c.header); w.Code != c.status && !(c.status == 404 && w.Code/100 == 3) {
				t.Errorf("status %d, want %d: %s", w.Code, c.status, w.Body)
			}
		})
	}
	if got := run.taken(); len(got) > 0 {
		t.Errorf("a refused write reached the run: %q", got)
	}
}

func TestOrdersReachTheRun(t *testing.T) {
	run := &orders{}
	s := newHall(t, run)
	same := map[string]string{"Origin": "http://127.0.0.1:8512", "Sec-Fetch-Site": "same-origin"}
	for _, c := range []struct {
		path   string
		status int
	}{
		{"hold", 204}, {"go", 204}, {"back", 204}, {"lights-up", 204}, {"lights-down", 204}, {"alarm-reset", 204}, {"seek?to=61.5", 204},
		{"seek", 400}, {"seek?to=-1", 400}, {"seek?to=NaN", 400}, {"seek?to=1e9", 400}, {"explode", 404},
	} {
		if w := ask(t, s, "POST", "127.0.0.1:8512", "/api/control/"+c.path, same); w.Code != c.status {
			t.Errorf("%s: status %d, want %d: %s", c.path, w.Code, c.status, w.Body)
		}
	}
	if got, want := run.taken(), []string{"hold", "go", "back", "lights up", "lights down", "alarm reset", "seek 1m1.5s"}; !slices.Equal(got, want) {
		t.Errorf("the run was asked for %q, want %q", got, want)
	}
	if w := ask(t, newHall(t, nil), "POST", "127.0.0.1", "/api/control/go", same); w.Code != http.StatusConflict {
		t.Errorf("without a run: status %d", w.Code)
	}
}

func TestPagesReferToNothingOutside(t *testing.T) {
	s := newHall(t, nil)
	for _, p := range pages {
		w := ask(t, s, "GET", "127.0.0.1", p.Link(), nil)
		csp := w.Header().Get("Content-Security-Policy")
		if !strings.Contains(csp, "default-src 'none'") || strings.Contains(csp, "unsafe") || strings.Contains(csp, "http") {
			t.Errorf("%s: policy %q", p.Name, csp)
		}
		if strings.Contains(w.Body.String(), "//") && !strings.Contains(w.Body.String(), "<!doctype") {
			t.Errorf("%s refers outside", p.Name)
		}
	}
	entries, err := built.ReadDir("ui/built")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		data, err := built.ReadFile("ui/built/" + e.Name())
		if err != nil {
			t.Fatal(err)
		}
		for _, scheme := range []string{"https://", "http://"} {
			rest := strings.ReplaceAll(string(data), "http://www.w3.org/2000/svg", "")
			if strings.Contains(rest, scheme) && !strings.HasSuffix(e.Name(), ".woff2") {
				t.Errorf("%s holds an address outside", e.Name())
			}
		}
	}
}

func TestLightIsTheShowsOwn(t *testing.T) {
	s := newHall(t, nil)
	now, _ := s.book.get()
	n := len(now.book.Contents().Ribbons)
	w := ask(t, s, "GET", "127.0.0.1", "/api/light?from=0&to=60&step=0.5", nil)
	if want := 120 * n * 4; w.Code != 200 || w.Body.Len() != want {
		t.Fatalf("status %d, %d bytes, want %d", w.Code, w.Body.Len(), want)
	}
	// Cue 1 brings warm front light alone: its ribbon is lit and redder than
	// blue, the others are dark.
	at := w.Body.Bytes()[4*n*12:]
	if at[3] == 0 || at[0] <= at[2] {
		t.Errorf("front at 6 s: %v", at[:4])
	}
	for r := 1; r < n; r++ {
		if at[4*r+3] != 0 {
			t.Errorf("%s is lit at 6 s", now.book.Contents().Ribbons[r].Name)
		}
	}
	for _, bad := range []string{"", "?from=0", "?from=5&to=1&step=1", "?from=0&to=10&step=0", "?from=0&to=172800&step=0.001", "?from=0&to=x&step=1"} {
		if w := ask(t, s, "GET", "127.0.0.1", "/api/light"+bad, nil); w.Code != http.StatusBadRequest {
			t.Errorf("%q: status %d", bad, w.Code)
		}
	}
}

func TestRoomIsThePlacesOfTheTransport(t *testing.T) {
	s := newHall(t, nil)
	now, _ := s.book.get()
	places := 0
	for _, p := range now.book.Shape().Panels {
		if p.First != places {
			t.Errorf("panel %s begins at place %d, want %d", p.Name, p.First, places)
		}
		places += p.Cols * p.Rows
	}
	places += len(now.book.Shape().Points)
	for _, query := range []string{"at=20", "look=2"} {
		if w := ask(t, s, "GET", "127.0.0.1", "/api/room?"+query, nil); w.Body.Len() != 32*places {
			t.Errorf("%s: %d bytes for %d places", query, w.Body.Len(), places)
		}
	}
	for query, status := range map[string]int{"": 400, "at=x": 400, "look=99": 404, "look=x": 404, "look=-1": 404} {
		if w := ask(t, s, "GET", "127.0.0.1", "/api/room?"+query, nil); w.Code != status {
			t.Errorf("%q: status %d, want %d", query, w.Code, status)
		}
	}
}

func TestPlates(t *testing.T) {
	s := newHall(t, nil)
	for _, c := range []struct {
		path   string
		status int
	}{
		{"plan?at=20&of=lux", 200}, {"plan?at=20&of=uv", 200}, {"plot", 200}, {"gamut", 200}, {"gamut?look=2", 200}, {"gamut?look=99", 200},
		{"plan?at=20", 400}, {"plan?of=lux", 400}, {"gamut?look=x", 400},
	} {
		w := ask(t, s, "GET", "127.0.0.1", "/plate/"+c.path, nil)
		if w.Code != c.status || c.status == 200 && (w.Header().Get("Content-Type") != "image/svg+xml" || !strings.Contains(w.Body.String(), "<svg")) {
			t.Errorf("%s: status %d, %.80s", c.path, w.Code, w.Body)
		}
	}
}

func TestSameShowSameBytes(t *testing.T) {
	a := newHall(t, nil)
	b, err := New(Options{Gate: ownGate(), Show: solveHall(t, 1), Findings: hallFindings()})
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/api/show", "/api/span?from=0&to=60", "/api/looks", "/api/rig", "/api/shape", "/api/findings", "/api/light?from=0&to=60&step=0.1", "/api/room?at=44"} {
		if x, y := ask(t, a, "GET", "localhost", path, nil), ask(t, b, "GET", "localhost", path, nil); !bytes.Equal(x.Body.Bytes(), y.Body.Bytes()) {
			t.Errorf("%s differs between two books of one show", path)
		}
	}
}

// A server that is closed ends the streams of its pages: nothing is left of them.
func TestClosedServerLeavesNothing(t *testing.T) {
	s := newHall(t, nil)
	leaktest.Check(t, func() {
		server := httptest.NewServer(s.Handler())
		for range 3 {
			r, err := server.Client().Do(byOwner("GET", server.URL+"/api/events", ""))
			if err != nil {
				t.Fatal(err)
			}
			defer r.Body.Close()
			if _, err := bufio.NewReader(r.Body).ReadString('\n'); err != nil {
				t.Fatal(err)
			}
		}
		s.SetPlayhead(Playhead{At: 1, Running: true})
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		server.Close() // waits for all requests
	})
}

func TestEventsNewestWins(t *testing.T) {
	s := newHall(t, nil)
	url := serve(t, s)
	s.SetPlayhead(Playhead{At: 1, Running: true})
	r, err := http.DefaultClient.Do(byOwner("GET", url+"/api/events", ""))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	lines := bufio.NewScanner(r.Body)
	next := func(event string) string {
		t.Helper()
		for lines.Scan() {
			if lines.Text() == "event: "+event && lines.Scan() {
				return strings.TrimPrefix(lines.Text(), "data: ")
			}
		}
		t.Fatalf("the stream ended before %q: %v", event, lines.Err())
		return ""
	}
	if got := next("show"); !strings.HasPrefix(got, "1-") {
		t.Errorf("edition %q", got)
	}
	next("playhead")
	for i := range 1000 {
		s.SetPlayhead(Playhead{At: float64(i), Running: true, Cue: "7"})
	}
	var head Playhead
	if err := json.Unmarshal([]byte(next("playhead")), &head); err != nil || head.At != 999 || head.Cue != "7" {
		t.Errorf("after a thousand reports: %+v, %v", head, err)
	}
	s.Replace(openHall(t, 2), nil)
	if got := next("show"); !strings.HasPrefix(got, "2-") {
		t.Errorf("after Replace: edition %q", got)
	}
	s.Close()
	if _, err := io.Copy(io.Discard, r.Body); err != nil {
		t.Errorf("the stream did not end by itself: %v", err)
	}
}

func TestARunThatWentAwayIsNotBelieved(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := report{Playhead{Running: true}, time.Now()}
		time.Sleep(silent)
		if !r.at(time.Now()).Running {
			t.Error("a run that was heard of just now counts as over")
		}
		time.Sleep(time.Millisecond)
		if r.at(time.Now()).Running {
			t.Error("a run counts as running after it fell silent")
		}
	})
}

func TestAPITypesAreFresh(t *testing.T) {
	data, err := os.ReadFile("ui/api.ts")
	if err != nil {
		t.Fatal(err)
	}
	if string(data) != TypeScript() {
		t.Error("ui/api.ts is stale: run go generate ./web")
	}
}

func TestTypeScriptTypes(t *testing.T) {
	if _, err := os.Stat("ui/node_modules/typescript"); err != nil {
		t.Skip("outside check left out: needs typescript (npm ci in web/ui)")
	}
	tsc := exec.Command("npx", "tsc", "-p", ".")
	tsc.Dir = "ui"
	if out, err := tsc.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}

func TestNoShow(t *testing.T) {
	if _, err := New(Options{}); err == nil {
		t.Error("a server without a show")
	}
}

func BenchmarkLightMinute(b *testing.B) {
	book := page.New(openHall(b, 5), nil)
	for b.Loop() {
		if _, err := book.Light(0, time.Minute, 50*time.Millisecond); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRoom(b *testing.B) {
	book := page.New(openHall(b, 5), nil)
	for b.Loop() {
		book.Room(44 * time.Second)
	}
}

// Findings may hold what JSON cannot: a glow over pure black is infinite.
func TestInfiniteFindings(t *testing.T) {
	s, err := New(Options{Gate: ownGate(), Show: openHall(t, 1), Findings: []finding.Finding{{ID: "glow", Severity: finding.Note, Value: math.Inf(1), Low: math.NaN(), High: math.Inf(-1)}}})
	if err != nil {
		t.Fatal(err)
	}
	var got []finding.Finding
	if err := json.Unmarshal(ask(t, s, "GET", "localhost", "/api/findings", nil).Body.Bytes(), &got); err != nil || len(got) != 1 {
		t.Errorf("%d findings, %v", len(got), err)
	}
}
