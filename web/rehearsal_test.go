package web

import (
	"bytes"
	"context"
	"encoding/binary"
	"io"
	"net/http"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lampblack/web/admit"
)

// clicks is a sound file with a click each second.
type clicks []byte

func (c clicks) Open(context.Context) (io.ReadSeekCloser, string, error) {
	return struct {
		io.ReadSeeker
		io.Closer
	}{bytes.NewReader(c), io.NopCloser(nil)}, "clicks.wav", nil
}

// clickTrack is a WAV file (RIFF, 16 bits, one channel) of so many seconds.
func clickTrack(seconds int) clicks {
	const rate = 8000
	data := make([]byte, 2*rate*seconds)
	for s := range seconds {
		for i := range 40 {
			binary.LittleEndian.PutUint16(data[2*(s*rate+i):], uint16(int16(20000*(1-2*(i%2)))))
		}
	}
	var b bytes.Buffer
	b.WriteString("RIFF")
	binary.Write(&b, binary.LittleEndian, uint32(36+len(data)))
	b.WriteString("WAVEfmt ")
	binary.Write(&b, binary.LittleEndian, struct {
		Size          uint32
		Form, Ch      uint16
		Rate, Octets  uint32
		Align, Sample uint16
	}{16, 1, 1, rate, 2 * rate, 2, 16})
	b.WriteString("data")
	binary.Write(&b, binary.LittleEndian, uint32(len(data)))
	b.Write(data)
	return b.Bytes()
}

// The sound plays from where the page stands, and the page goes with it; what is tapped by the
// space bar becomes cues, in one edit. (No outside source: the file is RIFF/WAVE, read by the browser.)
func TestRehearsal(t *testing.T) {
	w := writtenHall(t, 2)
	w.s.Hears(clickTrack(120))
	page := openTab(t, w.url, 1280, 800)
	page.wait(`document.querySelector('.card[data-cue="2"]') !== null`)
	page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector(".rehearsal button").click()`))
	page.wait(`document.querySelector(".rehearsal").classList.contains("plays")`)
	page.wait(`document.querySelector(".thread time").textContent > "0:03.6"`)
	page.do(chromedp.Evaluate[chromedp.Void](`void document.activeElement.blur()`))
	page.do(chromedp.KeyEvent(" "), chromedp.KeyEvent(" "))
	page.wait(`document.querySelectorAll(".taps p:first-child button").length === 2`)
	page.picture("rehearsal")
	page.do(chromedp.KeyEvent(kb.Escape))
	page.wait(`!document.querySelector(".rehearsal").classList.contains("plays")`)
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const s = document.querySelector(".taps select"); s.value = "bell"; [...document.querySelectorAll(".taps button")].find((b) => b.textContent === "Write").click(); })()`))
	w.says(t, "look: bell, up: 1 s", true)
	if n := strings.Count(w.score(t), "look: bell, up: 1 s"); n != 2 {
		t.Errorf("%d cues of two marks:\n%s", n, w.score(t))
	}
	page.wait(`document.querySelector(".taps").hidden && !document.querySelector(".pencil button").disabled`)
	page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector('.pencil button').click()`))
	w.says(t, "look: bell, up: 1 s", false) // both at once
	page.clean()
}

// Pieces are asked for and answered as RFC 9110, 14 has it. A sound is read by an address that was given to who may read, whole or in pieces, and by no
// other; whoever is taken out has it no more.
func TestHeard(t *testing.T) {
	w := writtenHall(t, 2)
	if status, text := askOwn(t, http.MethodGet, w.url+"/api/sound", ""); status != http.StatusConflict {
		t.Errorf("without a sound: %d %s", status, text)
	}
	track := clickTrack(120)
	w.s.Hears(track)
	status, text := askOwn(t, http.MethodGet, w.url+"/api/sound", "")
	_, path, _ := strings.Cut(strings.TrimSpace(text), `{"path":"`)
	path = strings.TrimSuffix(path, `"}`)
	if status != http.StatusOK || !strings.HasPrefix(path, "/heard/") {
		t.Fatalf("%d %s", status, text)
	}
	get := func(path, span string) (int, string) {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, w.url+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		if span != "" {
			r.Header.Set("Range", span)
		}
		return send(t, r)
	}
	if status, text := get(path, ""); status != http.StatusOK || text != string(track) {
		t.Errorf("whole: %d, %d octets", status, len(text))
	}
	if status, text := get(path, "bytes=8-11"); status != http.StatusPartialContent || text != "WAVE" {
		t.Errorf("a piece: %d %q", status, text)
	}
	if status, _ := get(path+"x", ""); status != http.StatusNotFound {
		t.Errorf("another address: %d", status)
	}
	gone := make(chan struct{})
	late := w.s.tickets.give(admit.Who{Gone: gone}, w.s.tickets.list[0].ends)
	close(gone)
	if status, _ := get("/heard/"+late, ""); status != http.StatusNotFound {
		t.Errorf("of who was taken out: %d", status)
	}
}
