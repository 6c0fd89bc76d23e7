package sacn

import (
	"encoding/binary"
	"fmt"
	"time"
)

// DiscoveryInterval is the time from one universe discovery to the next
// (appendix A: E131_UNIVERSE_DISCOVERY_INTERVAL).
const DiscoveryInterval = 10 * time.Second

// PageSize is the most universes that one discovery packet lists (clause 8.5).
const PageSize = 512

// Discovery is one page of the list of universes that a source transmits
// (clauses 6.4 and 8).
type Discovery struct {
	CID        [16]byte
	Source     string
	Page, Last byte
	Universes  []uint16 // ascending, at most PageSize
}

const discoveryHead = 120

// Pages returns the packets that list the universes, which must be ascending:
// one page at least, for "none" is an answer too.
func Pages(cid [16]byte, source string, universes []uint16) []Discovery {
	last := max(0, len(universes)-1) / PageSize
	pages := make([]Discovery, 0, last+1)
	for i := 0; i <= last; i++ {
		page := universes[i*PageSize : min(len(universes), (i+1)*PageSize)]
		pages = append(pages, Discovery{CID: cid, Source: source, Page: byte(i), Last: byte(last), Universes: page})
	}
	return pages
}

// Check returns an error that names the first field whose value the packet
// cannot carry.
func (d *Discovery) Check() error {
	if d.Page > d.Last {
		return fmt.Errorf("discovery packet: page: got %d, want at most the last page %d", d.Page, d.Last)
	}
	if len(d.Universes) > PageSize {
		return fmt.Errorf("discovery packet: universes: got %d, want at most %d", len(d.Universes), PageSize)
	}
	for i, u := range d.Universes {
		if u < 1 || u > MaxUniverse {
			return fmt.Errorf("discovery packet: universe %d of the list: got %d, want 1 to %d", i+1, u, MaxUniverse)
		}
		if i > 0 && u <= d.Universes[i-1] {
			return fmt.Errorf("discovery packet: universe %d of the list: got %d after %d, want ascending", i+1, u, d.Universes[i-1])
		}
	}
	return nil
}

// Append appends the packet to b. It panics on a packet that Check refuses.
func (d *Discovery) Append(b []byte) []byte {
	if err := d.Check(); err != nil {
		panic("sacn: " + err.Error())
	}
	n := discoveryHead + 2*len(d.Universes)
	b = appendRoot(b, n, rootExtended, d.CID)
	b = appendLength(b, n-frameAt)
	b = binary.BigEndian.AppendUint32(b, frameList)
	b = appendSource(b, d.Source)
	b = append(b, 0, 0, 0, 0)     // clause 6.4.3
	b = appendLength(b, n-listAt) // clause 8.1
	b = binary.BigEndian.AppendUint32(b, listVector)
	b = append(b, d.Page, d.Last) // clauses 8.3, 8.4
	for _, u := range d.Universes {
		b = binary.BigEndian.AppendUint16(b, u)
	}
	return b
}

// ParseDiscovery reads a universe discovery packet.
func ParseDiscovery(b []byte) (Discovery, error) {
	const kind = "discovery"
	cid, err := parseRoot(b, kind, discoveryHead, rootExtended, frameList)
	if err != nil {
		return Discovery{}, err
	}
	source, err := parseSource(b, kind)
	if err != nil {
		return Discovery{}, err
	}
	if got := binary.BigEndian.Uint32(b[108:]); got != 0 {
		return Discovery{}, fmt.Errorf("discovery packet: reserved: got %#08x, want 0", got)
	}
	if err := checkLength(b, kind, "universe list", listAt); err != nil {
		return Discovery{}, err
	}
	if got := binary.BigEndian.Uint32(b[114:]); got != listVector {
		return Discovery{}, fmt.Errorf("discovery packet: list vector: got %#x, want %#x", got, listVector)
	}
	list := b[discoveryHead:]
	if len(list)%2 != 0 {
		return Discovery{}, fmt.Errorf("discovery packet: universe list: got %d octets, want an even number", len(list))
	}
	d := Discovery{CID: cid, Source: source, Page: b[118], Last: b[119]}
	for ; len(list) > 0; list = list[2:] {
		d.Universes = append(d.Universes, binary.BigEndian.Uint16(list))
	}
	if err := d.Check(); err != nil {
		return Discovery{}, err
	}
	return d, nil
}
