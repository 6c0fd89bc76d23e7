package artnet

import (
	"encoding/binary"
	"fmt"
)

// Dmx is an ArtDmx packet: the slots of one universe.
type Dmx struct {
	Sequence    byte // 1 to 255; 0 when the order does not matter
	Physical    byte
	PortAddress uint16
	Slots       []byte // at most 512; Append fills up to an even number, 2 at least
}

const (
	dmxHead  = 18
	maxSlots = 512
)

// Next returns the sequence number after s: 255 is followed by 1.
func Next(s byte) byte {
	if s == 255 {
		return 1
	}
	return s + 1
}

// Check returns an error that names the first field whose value the packet
// cannot carry.
func (d *Dmx) Check() error {
	if d.PortAddress > MaxPortAddress {
		return fmt.Errorf("ArtDmx packet: Port-Address: got %d, want 0 to %d", d.PortAddress, MaxPortAddress)
	}
	if len(d.Slots) > maxSlots {
		return fmt.Errorf("ArtDmx packet: slots: got %d, want at most %d", len(d.Slots), maxSlots)
	}
	return nil
}

// Append appends the packet to b. It panics on a packet that Check refuses.
func (d *Dmx) Append(b []byte) []byte {
	if err := d.Check(); err != nil {
		panic("artnet: " + err.Error())
	}
	n := max(2, len(d.Slots)+len(d.Slots)%2)
	b = appendHead(b, OpDmx)
	b = append(b, d.Sequence, d.Physical, byte(d.PortAddress), byte(d.PortAddress>>8))
	b = binary.BigEndian.AppendUint16(b, uint16(n))
	b = append(b, d.Slots...)
	for range n - len(d.Slots) {
		b = append(b, 0)
	}
	return b
}

// ParseDmx reads an ArtDmx packet of protocol version 14. The slots are part
// of b, not a copy.
func ParseDmx(b []byte) (Dmx, error) {
	if err := parseHead(b, "ArtDmx", OpDmx, dmxHead); err != nil {
		return Dmx{}, err
	}
	if err := checkVersion(b, "ArtDmx"); err != nil {
		return Dmx{}, err
	}
	n := int(binary.BigEndian.Uint16(b[16:]))
	if n < 2 || n > maxSlots || n%2 != 0 || n != len(b)-dmxHead {
		return Dmx{}, fmt.Errorf("ArtDmx packet: length: got %d with %d slots, want both the same, even, 2 to %d", n, len(b)-dmxHead, maxSlots)
	}
	d := Dmx{Sequence: b[12], Physical: b[13], PortAddress: binary.LittleEndian.Uint16(b[14:]), Slots: b[dmxHead:]}
	if err := d.Check(); err != nil {
		return Dmx{}, err
	}
	return d, nil
}

func checkVersion(b []byte, kind string) error {
	if v := binary.BigEndian.Uint16(b[10:]); v != version {
		return fmt.Errorf("%s packet: ProtVer: got %d, want %d", kind, v, version)
	}
	return nil
}

const syncSize = 14

// AppendSync appends an ArtSync packet to b: show now what the last ArtDmx
// packets said. It has no fields.
func AppendSync(b []byte) []byte { return append(appendHead(b, OpSync), 0, 0) }

// ParseSync returns an error when b is no ArtSync packet.
func ParseSync(b []byte) error {
	if err := parseHead(b, "ArtSync", OpSync, syncSize); err != nil {
		return err
	}
	if err := checkVersion(b, "ArtSync"); err != nil {
		return err
	}
	if len(b) != syncSize || b[12]|b[13] != 0 {
		return fmt.Errorf("ArtSync packet: got % x after the version, want 00 00", b[headSize:min(len(b), 20)])
	}
	return nil
}
