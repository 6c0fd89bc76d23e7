package ogg

import "io"

// A Packet is one packet of a logical stream.
type Packet struct {
	Data    []byte // valid until the next call
	Serial  uint32
	Begin   bool  // on the first page of its logical stream
	Granule int64 // -1, or of its page when this is the last packet to end there
	End     bool  // the last of its logical stream
	Gap     bool  // something of this stream was lost before it
}

// maxPacket bounds a packet; only tags with pictures in them come near.
const maxPacket = 64 << 20

// Packets puts the packets of a Reader together. Several logical streams may lie
// side by side; each is kept apart by its serial number.
type Packets struct {
	r       *Reader
	page    Page
	segment int // next of page
	offset  int // of its bytes
	streams map[uint32]*partial
}

// partial is what is known of a logical stream between pages.
type partial struct {
	data []byte // of a packet that goes on
	open bool   // there is one
	// Each logical stream numbers its own pages.
	count uint32 // of the next page
	gap   bool
}

// maxStreams bounds the memory for streams that begin and never end.
const maxStreams = 64

// NewPackets returns the packets of r.
func NewPackets(r *Reader) *Packets { return &Packets{r: r, streams: map[uint32]*partial{}} }

// Next returns the next packet of any logical stream, or io.EOF.
func (p *Packets) Next() (Packet, error) {
	for {
		for p.segment < len(p.page.Lacing) {
			if k, ok := p.take(); ok {
				return k, nil
			}
		}
		page, err := p.r.Next()
		if err != nil {
			return Packet{}, err
		}
		p.begin(page)
	}
}

// begin starts a page: it notices lost pages, and packets whose other half is
// missing.
func (p *Packets) begin(page Page) {
	p.page, p.segment, p.offset = page, 0, 0
	s := p.streams[page.Serial]
	if s == nil || page.Flags&First != 0 {
		// Only a hostile file has so many; that its packets break here is no loss.
		if len(p.streams) >= maxStreams {
			clear(p.streams)
		}
		s = &partial{count: page.Count}
		p.streams[page.Serial] = s
	}
	if page.Count != s.count {
		s.gap, s.open, s.data = true, false, s.data[:0]
	}
	s.count = page.Count + 1
	if page.Flags&Continued == 0 {
		if s.open {
			s.gap = true
		}
		s.open, s.data = false, s.data[:0]
		return
	}
	if !s.open { // the tail of something that never began
		s.gap = true
		for p.segment < len(page.Lacing) {
			n := page.Lacing[p.segment]
			p.segment++
			p.offset += int(n)
			if n < 255 {
				break
			}
		}
	}
}

// take reads segments up to the end of a packet or of the page.
func (p *Packets) take() (Packet, bool) {
	s := p.streams[p.page.Serial]
	start := p.offset
	ended := false
	for p.segment < len(p.page.Lacing) && !ended {
		n := p.page.Lacing[p.segment]
		p.segment++
		p.offset += int(n)
		ended = n < 255
	}
	piece := p.page.Body[start:p.offset]
	if !ended {
		if len(s.data)+len(piece) <= maxPacket {
			s.data = append(s.data, piece...)
		}
		s.open = true
		return Packet{}, false
	}
	// A packet that lies on one page is handed out where it is, without a copy.
	k := Packet{Data: piece, Serial: p.page.Serial, Begin: p.page.Flags&First != 0, Granule: -1, Gap: s.gap}
	if s.open {
		s.data = append(s.data, piece...)
		k.Data = s.data
	}
	s.open, s.gap = false, false
	defer func() { s.data = s.data[:0] }()
	// The granule belongs to the last packet that ends on the page, not to all of them.
	if !p.packetEnds() {
		k.Granule = p.page.Granule
		k.End = p.page.Flags&Last != 0
	}
	return k, true
}

// packetEnds tells whether another packet ends on this page.
func (p *Packets) packetEnds() bool {
	for _, n := range p.page.Lacing[p.segment:] {
		if n < 255 {
			return true
		}
	}
	return false
}

// Reader of one stream's packets, put one behind the other.
type concatenated struct {
	p      *Packets
	serial uint32
	rest   []byte
}

// Concatenate returns a reader of the bytes of all further packets of one logical
// stream.
func Concatenate(p *Packets, serial uint32) io.Reader {
	return &concatenated{p: p, serial: serial}
}

// Read passes over packets of other streams.
func (c *concatenated) Read(b []byte) (int, error) {
	for len(c.rest) == 0 {
		k, err := c.p.Next()
		if err != nil {
			return 0, err
		}
		if k.Serial == c.serial {
			c.rest = k.Data
		}
	}
	n := copy(b, c.rest)
	c.rest = c.rest[n:]
	return n, nil
}
