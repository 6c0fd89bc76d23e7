package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"

	"lampblack/web/admit"
)

// ordersRun is what an order of the Night page does: lights up is for everybody who may do
// anything at all.
func ordersRun(r *http.Request, _ []byte) admit.Deed {
	if strings.HasSuffix(r.URL.Path, "/lights-up") {
		return admit.Rescues
	}
	if strings.Contains(r.URL.Path, "/edit-") { // another show is on the stage by it
		return admit.Writes
	}
	return admit.RunsShow
}

// ordersSound is what an order to the sound does: what the hall gives a loudspeaker is
// kept, and a test signal is nothing for an audience.
func ordersSound(_ *http.Request, body []byte) admit.Deed {
	var o SoundOrder
	if json.Unmarshal(body, &o) != nil || o.Do == "trim" || o.Do == "test signal" {
		return admit.Writes
	}
	return admit.RunsShow
}

// mostNoted bounds the text of an order.
const mostNoted = 160

// orderText says for the list what was asked.
func orderText(r *http.Request, body []byte) string {
	text := strings.TrimPrefix(strings.TrimPrefix(r.URL.Path, "/api/"), "control/")
	if q, err := url.QueryUnescape(r.URL.RawQuery); err == nil && q != "" {
		text += " " + q
	}
	var o struct {
		Do, System, Look, ID, Unit, Name, Zone, Right string
		Units                                         []string
	}
	if json.Unmarshal(body, &o) == nil {
		for _, part := range append([]string{o.Do, o.System, o.Look, o.ID, o.Unit, o.Name, o.Zone, o.Right}, strings.Join(o.Units, ", ")) {
			if part != "" {
				text += " " + part
			}
		}
	}
	text = strings.ToValidUTF8(text, "")
	if len(text) > mostNoted {
		text = strings.ToValidUTF8(text[:mostNoted], "") + "…"
	}
	return text
}
