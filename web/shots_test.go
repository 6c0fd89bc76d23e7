package web

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"
)

func TestShots(t *testing.T) {
	base, key, _ := strings.Cut(os.Getenv("SHOTS"), "#")
	if base == "" {
		t.Skip()
	}
	only := os.Getenv("ONLY")
	for _, p := range pages {
		if only != "" && !strings.Contains(only, p.Script) { continue }
		for _, w := range []int64{1400, 1024, 390} {
			page := openTab(t, strings.TrimSuffix(base, "/")+p.Link()+"#"+key, w, map[int64]int64{1400: 900, 1024: 768, 390: 844}[w])
			time.Sleep(6 * time.Second)
			if over := value[int](page, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("%s at %d is %d px wider than its window", p.Name, w, over)
			}
			for _, o := range value[[]string](page, cutOff) { t.Errorf("%s at %d: %s", p.Name, w, o) }
			page.picture(fmt.Sprintf("%s-%s-%d", os.Getenv("NAME"), p.Script, w))
			if w != 1024 { page.whole(fmt.Sprintf("%s-%s-%d-whole", os.Getenv("NAME"), p.Script, w)) }
		}
	}
}

const cutOff = `(() => {
	const out = [];
	for (const e of document.querySelectorAll("body *")) {
		if (!e.checkVisibility() || e.closest(".unseen, .skip, svg, select, .scroll, .turning")) continue;
		const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
		if (!own) continue;
		const s = getComputedStyle(e);
		if (s.overflow !== "visible" && e.scrollWidth > e.clientWidth + 1) out.push("cut: " + e.className + " " + e.textContent.slice(0, 60));
		const r = e.getBoundingClientRect();
		if (r.width && (r.left < -1 || r.right > innerWidth + 1)) out.push("outside: " + e.className + " " + e.textContent.slice(0, 60));
	}
	return out.slice(0, 8);
})()`
