package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

const aPicture = "from=0&width=160&height=90&of=seen&as=eye"

// A picture has four bytes for each pixel; asked for again by its key there is nothing to send, and other
// light is another picture. What cannot be drawn is said.
func TestPictureAnswers(t *testing.T) {
	s, _ := hallServer(t, 5, nil)
	get := func(query string) (int, http.Header, int) {
		w := ask(t, s, "GET", "127.0.0.1", "/api/picture?"+query, nil)
		return w.Code, w.Header(), w.Body.Len()
	}
	code, head, size := get("at=44&" + aPicture)
	if code != 200 || size != 4*160*90 || !strings.Contains(head.Get("Picture-Says"), "cd%2Fm") {
		t.Fatalf("a picture: %d, %d bytes, %q", code, size, head.Get("Picture-Says"))
	}
	if code, _, size := get("at=44&" + aPicture + "&was=" + head.Get("Picture-Key")); code != 204 || size != 0 {
		t.Errorf("the same picture again: %d, %d bytes", code, size)
	}
	if code, other, _ := get("at=1&" + aPicture + "&was=" + head.Get("Picture-Key")); code != 200 || other.Get("Picture-Key") == head.Get("Picture-Key") {
		t.Errorf("another picture: %d", code)
	}
	for _, of := range []string{"glow", "lux", "uv"} {
		if code, head, size := get("at=44&" + strings.Replace(aPicture, "seen", of, 1)); code != 200 || size != 4*160*90 || of != "glow" && head.Get("Picture-Says") != "" {
			t.Errorf("of %s: %d, %d bytes, %q", of, code, size, head.Get("Picture-Says"))
		}
	}
	for _, query := range []string{"look=0&" + aPicture, "now=yes&" + aPicture} {
		if code, _, _ := get(query); code != 200 {
			t.Errorf("%s: %d", query, code)
		}
	}
	for _, bad := range []string{"", "at=44", "at=NaN&" + aPicture, "look=99&" + aPicture, "look=x&" + aPicture,
		"at=44&" + strings.Replace(aPicture, "width=160", "width=161", 1), "at=44&" + strings.Replace(aPicture, "width=160&height=90", "width=16000&height=9000", 1),
		"at=44&" + strings.Replace(aPicture, "from=0", "from=99", 1), "at=44&" + strings.Replace(aPicture, "seen", "nothing", 1), "at=44&" + strings.Replace(aPicture, "as=eye", "as=cat", 1)} {
		if code, _, _ := get(bad); code != 400 {
			t.Errorf("%q: %d, want 400", bad, code)
		}
		if w := ask(t, s, "GET", "127.0.0.1", "/api/point?x=1&y=1&"+bad, nil); w.Code != 400 {
			t.Errorf("a point of %q: %d, want 400", bad, w.Code)
		}
	}
	if w := ask(t, s, "GET", "127.0.0.1", "/api/point?x=NaN&y=1&at=44&"+aPicture, nil); w.Code != 200 || !strings.Contains(w.Body.String(), `"name":""`) {
		t.Errorf("nowhere: %d %s", w.Code, w.Body)
	}
}

// On the room page a person finds out what is where, with a pointer and without, and sees the room
// as an eye, as a camera and as nobody does.
func TestPictureInThePage(t *testing.T) {
	_, url := hallServer(t, 5, nil)
	page := openTab(t, url+"/room?at=44", 1280, 800)
	page.wait(`document.querySelector("canvas.room").dataset.drawn === "yes" && document.querySelector("canvas.room").width >= 640`)
	page.press(`canvas.room`)
	page.wait(`/: .+ cd\/m² bright.*; .+ lx fall on it, and .+W\/m² of UV-A/.test(document.querySelector(".pointed").textContent) && !document.querySelector(".mark").hidden`)
	page.picture("pointed-laptop")
	before := value[string](page, `document.querySelector(".mark").style.left`)
	page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector("canvas.room").focus()`), chromedp.KeyEvent(kb.ArrowLeft))
	page.wait(fmt.Sprintf(`document.querySelector(".mark").style.left !== %q`, before))
	page.do(chromedp.KeyEvent(kb.Escape))
	page.wait(`document.querySelector(".mark").hidden && document.querySelector(".pointed").textContent === ""`)
	said := func() string { return value[string](page, `document.querySelector(".legend").textContent`) }
	for name, words := range map[string]string{"camera": "As a camera", "lifted": "Lifted to see by", "eye": "As an eye"} {
		page.do(choose(fmt.Sprintf(`input[value=%q]`, name)))
		page.wait(fmt.Sprintf(`document.querySelector(".legend").textContent.startsWith(%q)`, words))
		page.picture("as-" + name)
	}
	page.do(choose(`input[value="lux"]`))
	page.wait(`document.querySelector(".legend").textContent.endsWith("equal ratios")`)
	page.picture("of-lux")
	if got := said(); !strings.Contains(got, "lx") {
		t.Errorf("the scale of lux says %q", got)
	}
	page.clean()
	judge(page)
}

// How long a picture takes in the page, from the question until it stands there, as its size goes:
//
//	go test -v -run PictureTimes ./web
func TestPictureTimes(t *testing.T) {
	_, url := hallServer(t, 5, nil)
	page := openTab(t, url+"/room?at=44", 1280, 800)
	page.do(chromedp.Evaluate[chromedp.Void](`void (document.querySelector(".stage").style.width = "1280px")`))
	page.wait(`document.querySelector("canvas.room").width === 1280`)
	var all []float64
	for i := range 21 {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const e = document.querySelector('input[type="number"]'); e.value = "%d.5"; delete document.querySelector("canvas.room").dataset.took; e.dispatchEvent(new Event("input")); })()`, 20+i)))
		page.wait(`!!document.querySelector("canvas.room").dataset.took`)
		all = append(all, value[float64](page, `Number(document.querySelector("canvas.room").dataset.took)`))
	}
	slices.Sort(all)
	t.Logf("pictures of 1280 x 720 from the question until they stand in the page: median %.0f ms, %.0f ms to %.0f ms", all[len(all)/2], all[0], all[len(all)-1])
	if all[0] <= 0 {
		t.Error("no time was taken")
	}
}

// choose presses what is chosen of several.
func choose(selector string) chromedp.Action[chromedp.Void] {
	return chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void document.querySelector(%q).click()`, selector))
}
