package admit

import (
	"crypto/hmac"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/web/admit/admittest"
)

// What another implementation of RFC 9421 signs: http-message-signatures 1.0.6 (npm, ISC
// licence), run once for this.
func TestSignaturesOfAnotherProgram(t *testing.T) {
	for url, want := range map[string]string{
		"http://192.168.1.20:8513/api/control/seek?to=61.5": "Cvb+1R+D+8dQIIofEfXGMclhr2FzUuOopGokJd6s3HM=",
		"http://192.168.1.20:8513/api/hand":                 "7nqmwkib6hWiaYb0moIrSqfap2HWUorMSWFbnTpsdDY=",
		"http://example.com/a%20b/c?x=%C3%A9&y":             "qb5g0QfXtG4iJWBchb1LKoKrts12KuhqTMCYY50xbho=",
	} {
		r := httptest.NewRequest("POST", url, nil)
		key := []byte("0123456789abcdefghij")
		admittest.Sign(r, "phone1", key, "run1", "0123456789abcdef", nil, time.Unix(1764374400, 0))
		if got := r.Header.Get(sumHeader); got != "sig=:"+want+":" {
			t.Errorf("%s: signature %s, want %s", url, got, want)
		}
		p, ok := proofOf(r)
		if !ok || p.keyID != "phone1" || p.epoch != "run1" || !p.fits(key, r, nil) {
			t.Errorf("%s: what was signed does not fit: %+v", url, p)
		}
	}
}

// RFC 9530, appendix D: the digest of {"hello": "world"} and a line's end, and of nothing
// (the empty string, NIST's example for SHA-256).
func TestDigestOfTheStandard(t *testing.T) {
	for body, want := range map[string]string{
		"{\"hello\": \"world\"}\n": "sha-256=:RK/0qy18MlBSVnWgjwz6lZEWjP/lF5HF9bvEF8FabDg=:",
		"":                         "sha-256=:47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=:",
	} {
		if got := digest([]byte(body)); got != want {
			t.Errorf("%q: %s, want %s", body, got, want)
		}
	}
}

const place = "192.168.1.20:8513"

// caller signs what it asks.
type caller struct {
	g     *Gate
	id    string
	key   []byte
	count int
	back  time.Duration // by which its clock is wrong
}

func (c *caller) request(method, path, body string) *http.Request {
	r := httptest.NewRequest(method, "http://"+place+path, strings.NewReader(body))
	c.count++
	admittest.Sign(r, c.id, c.key, c.g.Epoch(), fmt.Sprintf("nonce-%s-%010d-%.6x", c.id, c.count, c.key), []byte(body), time.Now().Add(-c.back))
	return r
}

func (c *caller) ask(d Deed) error {
	_, err := c.g.Guest(c.request("POST", "/api/control/go", ""), "192.168.1.31", nil, d)
	return err
}

// pairs pairs a device by a code.
func pairs(t *testing.T, g *Gate, r Right) *caller {
	t.Helper()
	code, err := g.Invite(r)
	if err != nil {
		t.Fatal(err)
	}
	c := &caller{g: g, id: codeID, key: []byte(code.Text)}
	ask := c.request("POST", "/api/pair", "")
	p, _ := proofOf(ask)
	d, err := g.Pair(ask, "192.168.1.31", nil)
	if err != nil {
		t.Fatal(err)
	}
	return &caller{g: g, id: d.ID, key: deviceKey(code.Text, p.nonce)}
}

func refused(t *testing.T, what string, err error, want Refusal) {
	t.Helper()
	var r Refusal
	if !errors.As(err, &r) || r != want {
		t.Errorf("%s: %v, want %q", what, err, want.Why)
	}
}

func TestPairing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := New(Options{})
		c := pairs(t, g, Go)
		if err := c.ask(RunsShow); err != nil {
			t.Fatal(err)
		}
		refused(t, "more than its right", c.ask(Writes), errMayNot)
		refused(t, "the laptop's own", c.ask(Owns), errOwn)
		// A code pairs once, and for ten minutes.
		code, _ := g.Invite(All)
		x := &caller{g: g, id: codeID, key: []byte(code.Text)}
		if _, err := g.Pair(x.request("POST", "/api/pair", ""), "a", nil); err != nil {
			t.Fatal(err)
		}
		_, err := g.Pair(x.request("POST", "/api/pair", ""), "b", nil)
		refused(t, "a code again", err, errCode)
		code, _ = g.Invite(All)
		time.Sleep(CodeFor)
		x = &caller{g: g, id: codeID, key: []byte(code.Text)}
		_, err = g.Pair(x.request("POST", "/api/pair", ""), "b", nil)
		refused(t, "an old code", err, errCode)
		x.key = []byte("guessed")
		_, err = g.Pair(x.request("POST", "/api/pair", ""), "b", nil)
		refused(t, "a guessed code", err, errCode)
		// Another right at once; taken out at once; streams hear of both.
		w, _ := g.Guest(c.request("GET", "/api/events", ""), "", nil, Reads)
		if err := g.Allow(c.id, Watch); err != nil {
			t.Fatal(err)
		}
		<-w.Gone
		refused(t, "after its right was lowered", c.ask(RunsShow), errMayNot)
		w, _ = g.Guest(c.request("GET", "/api/events", ""), "", nil, Reads)
		if err := g.TakeOut(c.id); err != nil {
			t.Fatal(err)
		}
		<-w.Gone
		refused(t, "after it was taken out", c.ask(Reads), errNobody)
		if g.Allow("nobody", Go) == nil || g.TakeOut("nobody") == nil || g.Allow(c.id, own) == nil {
			t.Error("a device that there is not, or the owner's right, was given")
		}
		// A night is over.
		c = pairs(t, g, All)
		time.Sleep(PairedFor)
		refused(t, "the day after", c.ask(Reads), errNobody)
		for range mostCodes {
			if _, err := g.Invite(Watch); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := g.Invite(Watch); err == nil {
			t.Error("codes without end")
		}
	})
}

// What was signed counts once, in this run, at this time, and as it was signed.
func TestForgedAndReplayed(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		time.Sleep(time.Hour)
		var kept []Device
		g := New(Options{Keep: func(d []Device) { kept = d }})
		c := pairs(t, g, All)
		ask := func(r *http.Request, body string) error {
			_, err := g.Guest(r, "192.168.1.66", []byte(body), RunsShow)
			return err
		}
		r := c.request("POST", "/api/hand", `{"do":"set"}`)
		if err := ask(r, `{"do":"set"}`); err != nil {
			t.Fatal(err)
		}
		refused(t, "the same again", ask(r, `{"do":"set"}`), errTwice)
		for name, change := range map[string]func(r *http.Request){
			"another path":       func(r *http.Request) { r.URL.Path = "/api/keep" },
			"another query":      func(r *http.Request) { r.URL.RawQuery = "to=5" },
			"another method":     func(r *http.Request) { r.Method = "GET" },
			"another address":    func(r *http.Request) { r.Host = "192.168.1.21:8513" },
			"another device":     func(r *http.Request) { replace(r, c.id, "other") },
			"another nonce":      func(r *http.Request) { replace(r, "nonce-", "nunce-") },
			"another time":       func(r *http.Request) { replace(r, "created=", "created=1") },
			"another run":        func(r *http.Request) { replace(r, g.Epoch(), "another") },
			"no signature":       func(r *http.Request) { r.Header.Del(sumHeader) },
			"less is covered":    func(r *http.Request) { replace(r, ` "@query"`, "") },
			"one more, unread":   func(r *http.Request) { replace(r, "sig=", `other=();created=1, sig=`) },
			"no digest":          func(r *http.Request) { r.Header.Del(digestHeader) },
			"an empty signature": func(r *http.Request) { r.Header.Set(sumHeader, "sig=::") },
		} {
			r := c.request("POST", "/api/hand", "{}")
			change(r)
			refused(t, name, ask(r, "{}"), errNobody)
		}
		r = c.request("POST", "/api/hand", "{}")
		refused(t, "another body", ask(r, `{"x":1}`), errNobody)
		// Within the window a wrong clock does no harm, beyond it the page asks anew.
		for back, want := range map[time.Duration]error{-window: nil, window: nil, window + time.Second: errStale, -window - time.Second: errStale} {
			c.back = back
			if err := ask(c.request("POST", "/", ""), ""); !errors.Is(err, want) {
				t.Errorf("%v late: %v, want %v", back, err, want)
			}
		}
		c.back = -window // from the future: it stays fresh for longest
		r = c.request("POST", "/", "")
		if err := ask(r, ""); err != nil {
			t.Fatal(err)
		}
		for range 12 {
			time.Sleep(window / 4)
			if err := ask(r, ""); err == nil {
				t.Error("a replay was taken")
			}
		}
		// A phone that slept asks as ever, and so does one whose run was started again, which
		// takes nothing that was signed for the run before.
		c.back = 0
		time.Sleep(8 * time.Hour)
		before := c.request("POST", "/", "")
		if err := c.ask(RunsShow); err != nil {
			t.Error(err)
		}
		g = New(Options{Devices: kept})
		refused(t, "signed for the run before", ask(before, ""), errStale)
		c.g = g
		if err := c.ask(RunsShow); err != nil {
			t.Error(err)
		}
	})
}

func replace(r *http.Request, old, with string) {
	r.Header.Set(inputHeader, strings.Replace(r.Header.Get(inputHeader), old, with, 1))
}

// The laptop's own pages sign too; scripts bring the key; nobody else on it may anything.
func TestLocal(t *testing.T) {
	g := New(Options{Own: "0123456789abcdefghij"})
	c := &caller{g: g, id: ownID, key: []byte("0123456789abcdefghij")}
	r := c.request("POST", "/api/control/go", "")
	if w, err := g.Local(r, nil, Owns); err != nil || !w.Right.Owner() {
		t.Errorf("%+v, %v", w, err)
	}
	_, err := g.Local(r, nil, Owns)
	refused(t, "the same again", err, errTwice)
	for header, want := range map[string]bool{"Bearer 0123456789abcdefghij": true, "Bearer ": false, "Bearer 0123456789abcdefghik": false, "0123456789abcdefghij": false, "": false} {
		r := httptest.NewRequest("POST", "http://127.0.0.1/", nil)
		r.Header.Set("Authorization", header)
		if _, err := g.Local(r, nil, Reads); (err == nil) != want {
			t.Errorf("%q: %v", header, err)
		}
	}
	// The owner's key is none of another machine's, and no key at all lets nobody in.
	if _, err := g.Guest(c.request("POST", "/", ""), "192.168.1.31", nil, Reads); err == nil {
		t.Error("the owner's key was taken from another machine")
	}
	g = New(Options{})
	r = httptest.NewRequest("POST", "http://127.0.0.1/", nil)
	r.Header.Set("Authorization", "Bearer ")
	if _, err := g.Local(r, nil, Reads); err == nil {
		t.Error("an empty key let somebody in")
	}
}

// A device has what its fingers need, others take nothing from it, and none floods.
func TestPace(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		g := New(Options{})
		c, other := pairs(t, g, Go), pairs(t, g, Go)
		taken := 0
		for range 1000 { // 500 a second, for two
			if c.ask(RunsShow) == nil {
				taken++
			}
			time.Sleep(2 * time.Millisecond)
		}
		if want := 400; taken < want-2 || taken > want+2 {
			t.Errorf("%d of 1000 taken in 2 s, want %d: %g at once and %g a second", taken, want, ofDevice.burst, ofDevice.second)
		}
		if err := other.ask(RunsShow); err != nil {
			t.Errorf("another device: %v", err)
		}
		// Whoever sends in its name, or from as many addresses as there are, is held off, and
		// leaves the device what it has.
		forger := &caller{g: g, id: other.id, key: []byte("guessed")}
		answered := 0
		for i := range 5000 {
			_, err := g.Guest(forger.request("POST", "/", ""), fmt.Sprint("fe80::", i), nil, RunsShow)
			if errors.Is(err, errNobody) {
				answered++
			}
		}
		if answered > int(ofAll.burst) {
			t.Errorf("%d strangers' requests were looked at", answered)
		}
		if n := len(g.strangers.by); n > mostStrangers {
			t.Errorf("%d addresses are remembered", n)
		}
		if err := other.ask(RunsShow); err != nil {
			t.Errorf("a device in whose name others sent: %v", err)
		}
	})
}

func TestStreams(t *testing.T) {
	g := New(Options{})
	c := pairs(t, g, Watch)
	w, err := g.Guest(c.request("GET", "/api/events", ""), "", nil, Reads)
	if err != nil {
		t.Fatal(err)
	}
	var ends []func()
	for range mostOfADevice {
		end, err := g.Stream(w)
		if err != nil {
			t.Fatal(err)
		}
		ends = append(ends, end)
	}
	_, err = g.Stream(w)
	refused(t, "one too many", err, errStreams)
	ends[0]()
	if _, err = g.Stream(w); err != nil {
		t.Error(err)
	}
}

func TestRights(t *testing.T) {
	for r, may := range map[Right]string{Watch: "r", Focus: "r!l", Go: "r!g", All: "r!lgw", own: "r!lgwo", "": "", "owner": ""} {
		got := ""
		for d, letter := range map[Deed]string{Reads: "r", Rescues: "!", SetsLamps: "l", RunsShow: "g", Writes: "w", Owns: "o"} {
			if r.May(d) != strings.Contains(may, letter) {
				t.Errorf("%q: deed %s, got %v", r, letter, r.May(d))
			}
			got += letter
		}
	}
}

// A slider is one line a second in the list, and two where it is kept: when it began, and how
// often it came again.
func TestOrdersAreNoted(t *testing.T) {
	var kept []Asked
	g := New(Options{Write: func(o Asked) { kept = append(kept, o) }})
	begin := time.Now().Add(-time.Minute)
	for i := range 150 {
		g.Note(Asked{Time: begin.Add(time.Duration(i) * 20 * time.Millisecond), Who: "phone 1", Order: "hand set", Said: Done})
	}
	g.Note(Asked{Time: begin.Add(2990 * time.Millisecond), Who: "phone 2", Order: "go", Said: "not allowed"})
	g.Flush()
	if list := g.Orders(); len(list) != 4 || list[0].Who != "phone 2" || list[1].Times != 50 {
		t.Errorf("%+v", list)
	}
	sum := 0
	for _, o := range kept {
		sum += o.Times
	}
	if len(kept) != 7 || sum != 151 {
		t.Errorf("%d lines are kept, of %d orders: %+v", len(kept), sum, kept)
	}
	for range 5 * mostOrders {
		begin = begin.Add(2 * time.Second)
		g.Note(Asked{Time: begin, Who: "laptop", Order: "go", Said: Done})
	}
	if n := len(g.Orders()); n > mostOrders {
		t.Errorf("%d lines", n)
	}
}

// No header makes a gate panic, or lets anybody in.
func FuzzProof(f *testing.F) {
	f.Add("sig="+covered+`;created=1;nonce="0123456789abcdef";keyid="own";tag="x"`, "sig=:AAAA:", "Bearer x")
	g := New(Options{Own: "0123456789abcdefghij"})
	f.Fuzz(func(t *testing.T, in, s, bearer string) {
		r := httptest.NewRequest("POST", "http://127.0.0.1/", nil)
		r.Header = http.Header{inputHeader: {in}, sumHeader: {s}, digestHeader: {digest(nil)}, "Authorization": {bearer}}
		p, ok := proofOf(r)
		if _, err := g.Local(r, nil, Reads); err == nil && !(ok && hmac.Equal(p.sum, sum([]byte(g.o.Own), base(r, digest(nil), p.params)))) && bearer != "Bearer "+g.o.Own {
			t.Error("somebody came in")
		}
	})
}
