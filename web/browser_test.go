package web

import (
	"context"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"lampblack/room"
)

// browser starts one Chromium for all tests of this package, in a directory
// of its own and with everything off that would reach for a network.
var browser = sync.OnceValues(func() (context.Context, error) {
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		return nil, exec.ErrNotFound
	}
	dir, err := os.MkdirTemp("", "lampblack-browser")
	if err != nil {
		return nil, err
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.UserDataDir(dir), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("hide-scrollbars", false), chromedp.Flag("autoplay-policy", "no-user-gesture-required"))
	all, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, cancel := chromedp.NewContext(all)
	atEnd = func() {
		cancel()
		stop()
		os.RemoveAll(dir)
	}
	return ctx, chromedp.Do(ctx)
})

// atEnd closes the browser, if one was started.
var atEnd = func() {}

func TestMain(m *testing.M) {
	if os.Getenv("LAMPBLACK_LONG") == "" { // how fine light is is asked of rooms and pictures themselves
		room.Usual = room.Fineness{Patches: 800, Elements: 150}
	}
	code := m.Run()
	atEnd()
	os.Exit(code)
}

// pages are those that every server has.
var pages = (&Server{}).leaves()

// tab is one open page of the book.
type tab struct {
	testing.TB
	ctx     context.Context
	console *messages
}

type messages struct {
	mu   sync.Mutex
	list []string
}

func (m *messages) add(s string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.list = append(m.list, s)
}

// serve serves s on a loopback port for the test's time.
func serve(t testing.TB, s *Server) string {
	t.Helper()
	h := httptest.NewServer(s.Handler())
	t.Cleanup(func() {
		s.Close()
		h.Close()
	})
	return h.URL
}

// openTab opens a page of the given size and waits until it is filled.
func openTab(t testing.TB, url string, width, height int64) *tab {
	t.Helper()
	root, err := browser()
	if err != nil {
		t.Skipf("outside check left out: needs chromium (Debian package chromium): %v", err)
	}
	return openTabIn(t, root, url, width, height)
}

// openTabIn is openTab in a browser.
func openTabIn(t testing.TB, root context.Context, url string, width, height int64) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(root)
	t.Cleanup(cancel)
	p := &tab{t, ctx, &messages{}}
	// The first Do opens the tab, and a deadline on it would close it again.
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	p.do(chromedp.EmulateViewport(width, height))
	console := chromedp.Console(ctx)
	go func() {
		for m, err := range console {
			if err != nil {
				return
			}
			if m.IsException() || m.Type == "error" || m.Type == "warning" {
				p.console.add(m.Text + " " + m.URL)
			}
		}
	}()
	if !strings.Contains(url, "#") {
		url += "#key=" + ownKey
	}
	p.do(chromedp.Navigate(url))
	p.wait(`document.documentElement.dataset.ready === "yes" && document.fonts.status === "loaded"`)
	return p
}

func (p *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	p.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, time.Minute)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		p.Fatal(err)
	}
}

// value evaluates an expression in the page.
func value[T any](p *tab, expression string) T {
	p.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		p.Fatalf("%s: %v", expression, err)
	}
	return v
}

// wait waits until an expression holds.
func (p *tab) wait(expression string) {
	p.Helper()
	if _, err := chromedp.Run(p.ctx, chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(30*time.Second))); err != nil {
		p.Fatalf("waited for %s: %v; console: %q", expression, err, p.console.list)
	}
}

// clean fails when the page has complained on its console.
func (p *tab) clean() {
	p.Helper()
	p.console.mu.Lock()
	defer p.console.mu.Unlock()
	if len(p.console.list) > 0 {
		p.Errorf("console: %q", slices.Compact(p.console.list))
	}
}

// cleanBut is clean, of a page whose order to a path was refused on purpose.
func (p *tab) cleanBut(path string) {
	p.Helper()
	p.console.mu.Lock()
	p.console.list = slices.DeleteFunc(p.console.list, func(s string) bool { return strings.Contains(s, path) })
	p.console.mu.Unlock()
	p.clean()
}

// whole keeps a picture of the page down to its end.
func (p *tab) whole(name string) {
	p.Helper()
	dir := os.Getenv("LAMPBLACK_PICTURES")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(p.ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644)
	}
	if err != nil {
		p.Fatal(err)
	}
}

// picture keeps a screenshot for a person to look at, when asked to.
func (p *tab) picture(name string) {
	p.Helper()
	dir := os.Getenv("LAMPBLACK_PICTURES")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644)
	}
	if err != nil {
		p.Fatal(err)
	}
}
