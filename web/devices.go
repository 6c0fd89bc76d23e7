package web

import (
	"fmt"
	"net/http"
	"strings"
	"time"

	"rsc.io/qr"

	"lampblack/web/admit"
)

// Paired is who may come, for the page Devices.
type Paired struct {
	Address string        `json:"address"` // where other machines come, "" for nowhere
	Sealed  bool          `json:"sealed"`  // by TLS
	Devices []Guest       `json:"devices"`
	Codes   []string      `json:"codes"`  // that wait for a device
	Orders  []admit.Asked `json:"orders"` // the newest first
}

// Guest is a device that was paired.
type Guest struct {
	ID    string    `json:"id"`
	Name  string    `json:"name"`
	From  string    `json:"from"`
	Right string    `json:"right"`
	Until time.Time `json:"until"`
	Seen  time.Time `json:"seen"`
}

// Invitation is what pairs a device.
type Invitation struct {
	Link  string    `json:"link"`
	Code  string    `json:"code"` // the link as a drawing
	Right string    `json:"right"`
	Until time.Time `json:"until"`
}

// Entered is what a device learns as it is paired; the key it knows.
type Entered struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	Right string `json:"right"`
}

// devices answers who may come, and what was asked.
func (s *Server) devices(w http.ResponseWriter, _ *http.Request) {
	p := Paired{Address: s.guest, Sealed: s.sealed, Devices: []Guest{}, Codes: []string{}, Orders: list(s.gate.Orders())}
	for _, d := range s.gate.Devices() {
		p.Devices = append(p.Devices, Guest{d.ID, d.Name, d.From, string(d.Right), d.Until, d.Seen})
	}
	for _, c := range s.gate.Codes() {
		p.Codes = append(p.Codes, c.Text)
	}
	writeJSON(w, p)
}

// onDevices lets another device in, changes what one may do, or takes it out.
func (s *Server) onDevices(w http.ResponseWriter, r *http.Request) {
	var o struct {
		ID    string      `json:"id"`
		Right admit.Right `json:"right"`
	}
	switch r.PathValue("do") {
	case "invite":
		takes(w, r, &o, func() error { return s.invites(w, o.Right) })
	case "allow":
		takes(w, r, &o, func() error { return s.gate.Allow(o.ID, o.Right) })
	case "out":
		takes(w, r, &o, func() error { return s.gate.TakeOut(o.ID) })
	default:
		http.Error(w, fmt.Sprintf("there is no order %q", r.PathValue("do")), http.StatusNotFound)
	}
}

// invites answers with a link that pairs one device, and its picture.
func (s *Server) invites(w http.ResponseWriter, right admit.Right) error {
	link, err := s.Invite(right, "")
	if err != nil {
		return err
	}
	code, err := qr.Encode(link, qr.L)
	if err != nil {
		return err
	}
	writeJSON(w, Invitation{link, drawCode(code), string(right), time.Now().Add(admit.CodeFor)})
	return nil
}

// Invite makes a link that pairs one device, to a page, or "" for that which its right is for. Its code
// stands in the fragment, which no browser sends (RFC 3986, 3.5).
func (s *Server) Invite(right admit.Right, page string) (string, error) {
	if s.guest == "" {
		return "", fmt.Errorf("no other machine can come: the program was started without --phone")
	}
	c, err := s.gate.Invite(right)
	if err != nil {
		return "", err
	}
	if page == "" {
		page = "/night"
		if right == admit.Focus {
			page = "/focus"
		}
	}
	return s.GuestAddress() + page + "#pair=" + c.Text, nil
}

// GuestAddress is where other machines come.
func (s *Server) GuestAddress() string {
	if s.sealed {
		return "https://" + s.guest
	}
	return "http://" + s.guest
}

// drawCode draws the code of a link (ISO/IEC 18004), black on white with its quiet zone of
// four modules, as a path that is filled row by row.
func drawCode(code *qr.Code) string {
	const quiet = 4
	var path strings.Builder
	for y := range code.Size {
		for x := range code.Size {
			if code.Black(x, y) {
				fmt.Fprintf(&path, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	side := code.Size + 2*quiet
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" shape-rendering="crispEdges"><rect width="%d" height="%d" fill="#fff"/><path d="%s" fill="#000"/></svg>`, side, side, side, side, path.String())
}

// pair makes a device of who asks, if it signed with a code.
func (e *entrance) pair(w http.ResponseWriter, r *http.Request) {
	d, err := e.gate.Pair(r, from(r), nil)
	o := admit.Asked{Time: time.Now(), Who: d.Name, From: from(r), Order: "pair", Said: admit.Done}
	if err != nil {
		o.Who, o.Said = "stranger", "no such code"
		e.gate.Note(o)
		e.refuse(w, r, err)
		return
	}
	e.gate.Note(o)
	writeJSON(w, Entered{d.ID, d.Name, string(d.Right)})
}
