package lamps

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"lampblack/wire/rdm"
)

// Device is what a device says of itself. What it does not say is empty or nil.
type Device struct {
	UID       rdm.UID   `json:"uid"`
	Line      string    `json:"line"`
	Universe  int       `json:"universe"` // of the show; 0 where nobody knows
	Maker     string    `json:"maker,omitempty"`
	Model     string    `json:"model,omitempty"`
	Label     string    `json:"label,omitempty"` // given to it by people
	Software  string    `json:"software,omitempty"`
	Address   int       `json:"address,omitempty"` // 0 where it has no slots
	Footprint int       `json:"footprint"`
	Mode      int       `json:"mode,omitempty"` // from 1
	Modes     []Mode    `json:"modes,omitempty"`
	Sensors   []Sensor  `json:"sensors,omitempty"`
	Hours     *uint32   `json:"hours,omitempty"`      // that it was on
	LampHours *uint32   `json:"lamp_hours,omitempty"` // that its lamp burned
	Strikes   *uint32   `json:"strikes,omitempty"`
	Messages  []Message `json:"messages,omitempty"`
	Missing   []string  `json:"missing,omitempty"` // what it should have said and did not
}

// Mode is one of a device's modes.
type Mode struct {
	Number    int    `json:"mode"`
	Footprint int    `json:"footprint"`
	Name      string `json:"name,omitempty"`
}

// Sensor is one of a device's sensors with what it reads.
type Sensor struct {
	Name        string   `json:"name"`
	Unit        string   `json:"unit,omitempty"`
	Temperature bool     `json:"temperature,omitempty"`
	Value       float64  `json:"value"`
	Least       *float64 `json:"normal_from,omitempty"` // of a healthy device, by its maker
	Most        *float64 `json:"normal_to,omitempty"`
}

// Outside tells whether the reading is none of a healthy device.
func (s *Sensor) Outside() bool {
	return s.Least != nil && s.Value < *s.Least || s.Most != nil && s.Value > *s.Most
}

// Message is what a device says is wrong with it.
type Message struct {
	Grade string `json:"grade"` // error, warning, note
	Text  string `json:"text"`
}

// ModeName is the mode that it is in, by its name where it has one.
func (d *Device) ModeName() string {
	for _, m := range d.Modes {
		if m.Number == d.Mode && m.Name != "" {
			return m.Name
		}
	}
	if d.Mode == 0 {
		return ""
	}
	return fmt.Sprint(d.Mode)
}

const (
	noAddress   = 0xFFFF
	mostSensors = 16
	mostModes   = 32
)

// reader asks one device for all that it says.
type reader struct {
	*Caller
	ctx context.Context
	d   Device
}

// Read asks one device for all that it says of itself. What it does not answer is named in
// Missing; an error is that it does not answer at all, or that the context has ended.
func (c *Caller) Read(ctx context.Context, u rdm.UID) (Device, error) {
	r := reader{c, ctx, Device{UID: u, Line: c.line.Name(), Universe: c.line.Universe()}}
	b, err := c.get(ctx, u, rdm.DeviceInfoPID)
	if err != nil {
		return r.d, err
	}
	info, err := rdm.ParseInfo(b)
	if err != nil {
		return r.d, err
	}
	r.d.Footprint, r.d.Mode = int(info.Footprint), int(info.Mode)
	if info.Address != noAddress {
		r.d.Address = int(info.Address)
	}
	var says []rdm.PID
	if b, ok := r.part(rdm.SupportedParameters); ok {
		if says, err = rdm.PIDs(b); err != nil {
			r.d.Missing = append(r.d.Missing, err.Error())
		}
	}
	says = append(says, rdm.SoftwareVersionLabel)
	r.texts(says)
	r.counts(says)
	if slices.Contains(says, rdm.PersonalityDescription) {
		r.modes(int(info.Modes))
	}
	if slices.Contains(says, rdm.SensorValuePID) && slices.Contains(says, rdm.SensorDefinitionPID) {
		r.sensors(int(info.Sensors))
	}
	if slices.Contains(says, rdm.StatusMessages) {
		r.status()
	}
	return r.d, ctx.Err()
}

// part asks for one thing, and notes what does not come.
func (r *reader) part(pid rdm.PID, data ...byte) ([]byte, bool) {
	if r.ctx.Err() != nil {
		return nil, false
	}
	b, err := r.get(r.ctx, r.d.UID, pid, data...)
	var no Refused
	switch {
	case err == nil:
		return b, true
	case errors.As(err, &no) && no.Reason == rdm.UnknownPID:
	default:
		r.d.Missing = append(r.d.Missing, fmt.Sprintf("%v: %v", pid, err))
	}
	return nil, false
}

func (r *reader) texts(says []rdm.PID) {
	for pid, to := range map[rdm.PID]*string{rdm.ManufacturerLabel: &r.d.Maker, rdm.ModelDescription: &r.d.Model,
		rdm.DeviceLabel: &r.d.Label, rdm.SoftwareVersionLabel: &r.d.Software} {
		if slices.Contains(says, pid) {
			if b, ok := r.part(pid); ok {
				*to = rdm.Text(b)
			}
		}
	}
}

func (r *reader) counts(says []rdm.PID) {
	for pid, to := range map[rdm.PID]**uint32{rdm.DeviceHours: &r.d.Hours, rdm.LampHours: &r.d.LampHours, rdm.LampStrikes: &r.d.Strikes} {
		if slices.Contains(says, pid) {
			if b, ok := r.part(pid); ok {
				if n, err := rdm.Count(pid, b); err == nil {
					*to = &n
				}
			}
		}
	}
}

func (r *reader) modes(n int) {
	for i := 1; i <= min(n, mostModes); i++ {
		b, ok := r.part(rdm.PersonalityDescription, byte(i))
		if !ok {
			return
		}
		if m, err := rdm.ParseMode(b); err == nil && int(m.Number) == i {
			r.d.Modes = append(r.d.Modes, Mode{i, int(m.Footprint), m.Name})
		}
	}
}

func (r *reader) sensors(n int) {
	for i := range min(n, mostSensors) {
		b, ok := r.part(rdm.SensorDefinitionPID, byte(i))
		if !ok {
			return
		}
		def, err := rdm.ParseSensor(b)
		if err != nil {
			continue
		}
		if b, ok = r.part(rdm.SensorValuePID, byte(i)); !ok {
			return
		}
		now, err := rdm.ParseReading(b)
		if err != nil {
			continue
		}
		s := Sensor{Name: def.Name, Unit: def.Symbol(), Temperature: def.Type == rdm.Temperature, Value: def.Value(now.Present)}
		least, most := def.Knows()
		if v := def.Value(def.Normal[0]); least {
			s.Least = &v
		}
		if v := def.Value(def.Normal[1]); most {
			s.Most = &v
		}
		r.d.Sensors = append(r.d.Sensors, s)
	}
}

func (r *reader) status() {
	b, ok := r.part(rdm.StatusMessages, byte(rdm.GradeAdvisory))
	if !ok {
		return
	}
	list, err := rdm.ParseStatus(b)
	if err != nil {
		r.d.Missing = append(r.d.Missing, err.Error())
		return
	}
	for _, m := range list {
		grade, ok := map[rdm.Grade]string{rdm.GradeAdvisory: "note", rdm.GradeWarning: "warning", rdm.GradeError: "error"}[m.Grade]
		if ok { // what is over is over
			r.d.Messages = append(r.d.Messages, Message{grade, m.String()})
		}
	}
}

// Read finds all devices of a line and asks each. What was read before it failed is
// returned too; a device that was found and does not answer is in the list, with Missing.
func Read(ctx context.Context, l Line, progress Progress) ([]Device, error) {
	if progress == nil {
		progress = func(int, float64) {}
	}
	// Finding is counted as half of the work.
	found, err := l.Find(ctx, func(n int, done float64) { progress(n, done/2) })
	c := NewCaller(l)
	var out []Device
	for i, u := range found {
		if ctx.Err() != nil {
			return out, ctx.Err()
		}
		progress(len(found), .5+.5*float64(i)/float64(len(found)))
		d, err := c.Read(ctx, u)
		if err != nil {
			d.Missing = append(d.Missing, "it was found, and then did not answer: "+err.Error())
		}
		out = append(out, d)
	}
	return out, err
}
