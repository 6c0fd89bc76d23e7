package output

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"time"

	"lampblack/play/line"
	"lampblack/play/network"
	"lampblack/wire/artnet"
	"lampblack/wire/dmx"
	"lampblack/wire/sacn"
)

// Options are what every sink may need and no spec says. The zero value works.
type Options struct {
	// Source is the name under which receivers show this sender,
	// "Lampblack" if empty.
	Source string
	// CID identifies the sender to E1.31 receivers; zero for one that is made
	// from the host's name and Source, the same on every start.
	CID [16]byte
	// Dir is where relative paths of "file" outputs begin.
	Dir string
	// Announced is the list of universes that E1.31 outputs of one source
	// share; an output without it announces its own alone.
	Announced *Announced
	// Standby is that another machine sends the same, and this one is to be followed only
	// while that is gone: E1.31 goes out with a priority of one less, from another source.
	Standby bool
	// Allies are senders of the same that are meant to be; nil for none.
	Allies *Allies
}

// filled puts in what was left out. The same identifier on every start lets receivers
// take a show that was started again for the source that they have, without waiting for
// the old one to be lost.
func (o Options) filled() Options {
	if o.Source == "" {
		o.Source = "Lampblack"
	}
	if o.CID == ([16]byte{}) {
		host, err := os.Hostname()
		if err != nil {
			host = "unknown host"
		}
		name := host + "\x00" + o.Source
		if o.Standby {
			name += "\x00standby"
		}
		o.CID = sacn.NameCID(name)
	}
	if o.Announced == nil {
		o.Announced = &Announced{}
	}
	return o
}

// Open opens the output that the spec describes, ready for Send.
func Open(spec string, o Options) (Sink, error) {
	s, err := line.ParseOut(spec)
	if err != nil {
		return nil, err
	}
	sink, err := open(s, o.filled())
	if err != nil {
		return nil, fmt.Errorf("output %q: %w", spec, err)
	}
	return sink, nil
}

// open makes the sink that a line describes. Kinds are those of package line, which has
// refused all others; what is left is a file.
func open(s line.Out, o Options) (Sink, error) {
	if o.Standby && (s.Kind != "e131" || s.Priority == 0) {
		return nil, errors.New("an output can stand by only where receivers choose by priority: E1.31, with one above 0")
	}
	switch s.Kind {
	case "e131":
		if o.Standby {
			s.Priority--
		}
		sink, err := newE131(s, o, func() (socket, error) { return e131Socket(&s) })
		if err == nil && !s.Addr.IsValid() && !s.IPv6 {
			sink.mu.Lock()
			sink.listen(func() (ear, error) { return openEar(s.Interface) })
			sink.mu.Unlock()
		}
		if err == nil {
			sink.lookAfter(theWays, echoes(&s)...)
		}
		return orNil(sink, err)
	case "artnet":
		sink, err := newArt(s, o, func() (artSocket, error) { return openArtSocket(&s) })
		if err != nil {
			return nil, err
		}
		sink.lookAfter(theWays, polls(&s)...)
		return sink, nil
	case "serial":
		line := &bareLine{byByte: s.BreakByte}
		return newDevice(s, serialLabel, lineStill, func() (port, error) { return openPort(s.Place, dmx.Baud) }, line.transmit)
	case "widget":
		return newDevice(s, widgetLabel, widgetStill, func() (port, error) { return openWidget(&s) }, new(widget).transmit)
	}
	path := s.Place
	if !filepath.IsAbs(path) {
		path = filepath.Join(o.Dir, path)
	}
	return newFile(s, path)
}

// echoes are the questions to one receiver that any host may answer; none on the loopback,
// where this computer would answer for it.
func echoes(s *line.Out) []*question {
	if !s.Addr.IsValid() || s.Addr.IsLoopback() {
		return nil
	}
	return asked(newEcho(askFrom(s), s.Addr))
}

// polls are the questions to one Art-Net node.
func polls(s *line.Out) []*question {
	all := echoes(s)
	if !s.Addr.IsValid() {
		return all
	}
	return append(all, asked(newPolls(askFrom(s), netip.AddrPortFrom(s.Addr, artPort(s))))...)
}

// asked is a question, where there could be one.
func asked(q *question) []*question {
	if q == nil {
		return nil
	}
	return []*question{q}
}

// askFrom is where questions to one receiver leave: as its packets do, or as the system
// chooses where that is not known.
func askFrom(s *line.Out) netip.Addr {
	from, err := leaveFrom(s)
	if err != nil {
		return anyAddr(s)
	}
	return from
}

// orNil keeps a nil pointer from becoming a Sink that is not nil.
func orNil(sink *e131, err error) (Sink, error) {
	if err != nil {
		return nil, err
	}
	return sink, nil
}

// e131Socket opens a socket of the right family and interface.
func e131Socket(s *line.Out) (socket, error) {
	v6 := s.IPv6 || s.Addr.Is6()
	name := s.Interface
	if name == "" && s.IPv6 { // IPv6 has no route that chooses for a group
		var err error
		if name, err = anyMulticast(); err != nil {
			return nil, err
		}
	}
	from, err := leaveFrom(s)
	if err != nil {
		return nil, err
	}
	if s.Addr.IsValid() {
		name = "" // from says it
	}
	return openUDP(v6, netip.AddrPortFrom(from, 0), name)
}

// artSocket opens the shared port for discovery, or any for one node.
func openArtSocket(s *line.Out) (artSocket, error) {
	if !s.Addr.IsValid() {
		return openArt(artPort(s), s.Interface)
	}
	from, err := leaveFrom(s)
	if err != nil {
		return nil, err
	}
	udp, err := openUDP(false, netip.AddrPortFrom(from, 0), "")
	if err != nil {
		return nil, err
	}
	return oneNode{udp}, nil
}

// artPort is the port of an Art-Net output.
func artPort(s *line.Out) uint16 {
	if s.Port == 0 {
		return artnet.Port
	}
	return s.Port
}

// anyAddr is any address of the family that an output sends by.
func anyAddr(s *line.Out) netip.Addr {
	if s.IPv6 || s.Addr.Is6() {
		return netip.IPv6Unspecified()
	}
	return netip.IPv4Unspecified()
}

// leaveFrom is the address that packets of an output leave from: to one receiver by an
// interface its own, which makes the system use it, and else any.
func leaveFrom(s *line.Out) (netip.Addr, error) {
	if s.Addr.IsValid() && s.Interface != "" {
		return addressOf(s.Interface, s.Addr)
	}
	return anyAddr(s), nil
}

// addressOf returns the interface's address of the receiver's family, of the receiver's
// network if there is one. An address of the receiver's own network is better than the
// first one: an interface may have several.
func addressOf(name string, to netip.Addr) (netip.Addr, error) {
	ifi, err := network.Interface(name)
	if err != nil {
		return netip.Addr{}, err
	}
	addrs, err := ifi.Addrs()
	if err != nil {
		return netip.Addr{}, fmt.Errorf("network interface %s: %w", name, err)
	}
	var found netip.Addr
	for _, a := range addrs {
		p, err := netip.ParsePrefix(a.String())
		if err != nil || p.Addr().Is4() != to.Is4() {
			continue
		}
		if !found.IsValid() || p.Contains(to.WithZone("")) {
			found = p.Addr()
		}
	}
	if !found.IsValid() {
		return found, fmt.Errorf("network interface %s: has no address to reach %v from", name, to)
	}
	if found.Is6() && found.IsLinkLocalUnicast() {
		found = found.WithZone(name)
	}
	return found, nil
}

// anyMulticast returns the first interface that is up, takes multicast and is
// not the loopback.
func anyMulticast() (string, error) {
	all, err := net.Interfaces()
	if err != nil {
		return "", fmt.Errorf("list network interfaces: %w", err)
	}
	const want = net.FlagUp | net.FlagMulticast
	for _, ifi := range all {
		if ifi.Flags&(want|net.FlagLoopback) == want {
			return ifi.Name, nil
		}
	}
	return "", errors.New("no network interface takes multicast: name one with interface")
}

// fileSink writes frames into a capture. A capture has no receiver to keep alive, so it
// needs no keeper and no lock but the counters' own: Send and Close come from one
// goroutine.
type fileSink struct {
	spec     line.Out
	path     string // when closed; until then with ".part"
	counters counters
	file     *os.File
	disk     *patient
	tried    time.Time // when what waits was tried last
	writer   *CaptureWriter
	frames   []Frame
	first    time.Time
	failed   error
}

// newFile begins a capture under a name that says it is not whole yet. O_NONBLOCK keeps
// a pipe of that name, put there meanwhile, from stopping the show.
func newFile(s line.Out, path string) (*fileSink, error) {
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is not a plain file", path)
	}
	file, err := os.OpenFile(path+".part", os.O_WRONLY|os.O_CREATE|os.O_TRUNC|nonblock, 0o644)
	if err != nil {
		return nil, err
	}
	disk := &patient{w: file, most: mostWaiting}
	return &fileSink{spec: s, path: path, file: file, disk: disk, writer: NewCaptureWriter(disk)}, nil
}

func (f *fileSink) Name() string        { return "file " + f.path }
func (f *fileSink) Stats() Stats        { return f.counters.stats() }
func (f *fileSink) Pace() time.Duration { return f.spec.Pace() }

// Send adds the frames at due, counted from the first.
func (f *fileSink) Send(frames []Frame, due time.Time) error {
	if f.failed != nil {
		f.counters.dropped.Add(1)
		return f.failed
	}
	if f.first.IsZero() {
		f.first = due
	}
	f.frames = f.frames[:0]
	for _, frame := range frames {
		if u, goes := f.spec.Wire(frame.Universe); goes {
			f.frames = append(f.frames, Frame{Universe: u, Slots: frame.Slots})
		}
	}
	now := time.Now()
	if err := f.writer.Write(due.Sub(f.first), f.frames); err != nil {
		f.failed = fmt.Errorf("%s: %w", f.Name(), err)
	} else {
		f.counters.packets.Add(uint64(len(f.frames)))
	}
	if f.disk.why != nil && now.Sub(f.tried) >= time.Second {
		f.tried = now
		f.disk.flush()
	}
	f.disk.tell(&f.counters.health)
	f.counters.frame(due, now, f.failed)
	return f.failed
}

// Close makes the file whole and gives it its name; what could not be written
// whole keeps ".part".
func (f *fileSink) Close() error {
	if f.file == nil {
		return nil
	}
	err := f.failed
	if err == nil {
		err = f.writer.Close()
	}
	if f.disk.flush(); err == nil {
		err = f.disk.why
	}
	if err == nil {
		err = f.file.Sync()
	}
	if e := f.file.Close(); err == nil {
		err = e
	}
	f.file = nil
	if err == nil {
		err = os.Rename(f.path+".part", f.path)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", f.Name(), err)
	}
	return nil
}
