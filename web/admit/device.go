package admit

import (
	"crypto/rand"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Device is a phone, or another browser, that was paired.
type Device struct {
	ID     string    `json:"id"`
	Name   string    `json:"name"` // "phone 2"
	From   string    `json:"from"` // the address that it came from last
	Right  Right     `json:"right"`
	Key    []byte    `json:"key"`
	Paired time.Time `json:"paired"`
	Until  time.Time `json:"until"` // when it is one no more
	Seen   time.Time `json:"seen"`
}

// paired is a device, and what is kept of it while it asks.
type paired struct {
	Device
	bucket  bucket
	nonces  nonces
	streams int
	gone    chan struct{} // closes when it is taken out, or may do other things
}

// Code is what pairs one device.
type Code struct {
	Text  string
	Right Right
	Until time.Time
}

// For how long a code pairs, and a device is paired: time to walk to the ladder, and a night
// with its get-in. Chosen, no source.
const (
	CodeFor   = 10 * time.Minute
	PairedFor = 24 * time.Hour
)

// Bounds of the lists.
const (
	mostCodes   = 8
	mostDevices = 32
)

// Invite makes a code that pairs one device within [CodeFor].
func (g *Gate) Invite(r Right) (Code, error) {
	if _, err := ParseRight(string(r)); err != nil {
		return Code{}, err
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	now := time.Now()
	g.forget(now)
	if len(g.codes) >= mostCodes {
		return Code{}, fmt.Errorf("%d codes wait already: use one of them, or wait %d minutes", len(g.codes), int(CodeFor.Minutes()))
	}
	c := Code{strings.ToLower(rand.Text()), r, now.Add(CodeFor)}
	g.codes = append(g.codes, c)
	g.waits()
	return c, nil
}

// waits tells which codes wait. The caller holds mu.
func (g *Gate) waits() {
	if g.o.Waits != nil {
		g.o.Waits(slices.Clone(g.codes))
	}
}

// Codes are those that wait for a device.
func (g *Gate) Codes() []Code {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.forget(time.Now())
	return slices.Clone(g.codes)
}

// forget drops what is over. The caller holds mu.
func (g *Gate) forget(now time.Time) {
	g.codes = slices.DeleteFunc(g.codes, func(c Code) bool { return !now.Before(c.Until) })
	g.devices = slices.DeleteFunc(g.devices, func(d *paired) bool {
		over := !now.Before(d.Until)
		if over {
			close(d.gone)
		}
		return over
	})
}

// errCode is for whoever holds a link that pairs nothing (any more).
var errCode = Refusal{401, "this link pairs nothing any more: it does so once, for ten minutes, and not after the program was begun anew. The page Devices on the laptop makes another", "no such code"}

// pair makes a device of whoever signed with a code. The nonce of that signature is part of
// the device's key, so that two devices of one code are never one.
func (g *Gate) pair(code Code, nonce, from string, now time.Time) (Device, error) {
	if len(g.devices) >= mostDevices {
		return Device{}, Refusal{409, "too many devices are paired: take one out on the page Devices of the laptop", "too many devices"}
	}
	g.codes = slices.DeleteFunc(g.codes, func(c Code) bool { return c.Text == code.Text })
	g.named++
	d := &paired{Device: Device{ID: strings.ToLower(rand.Text()[:12]), Name: fmt.Sprint("phone ", g.named), From: from, Right: code.Right, Key: deviceKey(code.Text, nonce), Paired: now, Until: now.Add(g.o.For), Seen: now}, gone: make(chan struct{})}
	g.devices = append(g.devices, d)
	g.keep()
	g.waits()
	return d.Device, nil
}

// keep has the devices written where they outlast the run. The caller holds mu.
func (g *Gate) keep() {
	if g.o.Keep == nil {
		return
	}
	list := make([]Device, 0, len(g.devices))
	for _, d := range g.devices {
		list = append(list, d.Device)
	}
	g.o.Keep(list)
}

// errNoDevice is for whoever names a device that there is not.
var errNoDevice = errors.New("there is no such device any more")

// Allow changes what a device may do, at once: its streams end, and it asks anew.
func (g *Gate) Allow(id string, r Right) error {
	if _, err := ParseRight(string(r)); err != nil {
		return err
	}
	return g.change(id, func(i int) {
		d := g.devices[i]
		d.Right = r
		close(d.gone)
		d.gone = make(chan struct{})
	})
}

// TakeOut ends what a device may do, at once.
func (g *Gate) TakeOut(id string) error {
	return g.change(id, func(i int) {
		close(g.devices[i].gone)
		g.devices = slices.Delete(g.devices, i, i+1)
	})
}

func (g *Gate) change(id string, do func(i int)) error {
	g.mu.Lock()
	defer g.mu.Unlock()
	i := slices.IndexFunc(g.devices, func(d *paired) bool { return d.ID == id })
	if i < 0 {
		return errNoDevice
	}
	do(i)
	g.keep()
	return nil
}

// Devices are those that are paired, in the order in which they came.
func (g *Gate) Devices() []Device {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.forget(time.Now())
	var list []Device
	for _, d := range g.devices {
		list = append(list, d.Device)
	}
	return list
}
