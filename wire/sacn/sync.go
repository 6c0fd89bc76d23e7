package sacn

import (
	"encoding/binary"
	"fmt"
)

// Sync is an E1.31 synchronization packet (clause 6.3): act now on the data
// packets that carry this synchronization address.
type Sync struct {
	CID      [16]byte
	Sequence byte
	Address  uint16 // 1 to MaxUniverse; the packet goes to that universe's group
}

const syncSize = 49

// Check returns an error when the address cannot be a synchronization address.
func (s *Sync) Check() error {
	if s.Address < 1 || s.Address > MaxUniverse {
		return fmt.Errorf("synchronization packet: address: got %d, want 1 to %d", s.Address, MaxUniverse)
	}
	return nil
}

// Append appends the packet to b. It panics on a packet that Check refuses.
func (s *Sync) Append(b []byte) []byte {
	if err := s.Check(); err != nil {
		panic("sacn: " + err.Error())
	}
	b = appendRoot(b, syncSize, rootExtended, s.CID)
	b = appendLength(b, syncSize-frameAt)
	b = binary.BigEndian.AppendUint32(b, frameSync)
	b = append(b, s.Sequence)                       // clause 6.3.2
	b = binary.BigEndian.AppendUint16(b, s.Address) // clause 6.3.3
	return append(b, 0, 0)                          // clause 6.3.4
}

// ParseSync reads a synchronization packet.
func ParseSync(b []byte) (Sync, error) {
	cid, err := parseRoot(b, "synchronization", syncSize, rootExtended, frameSync)
	if err != nil {
		return Sync{}, err
	}
	if len(b) != syncSize {
		return Sync{}, fmt.Errorf("synchronization packet: length: got %d octets, want %d", len(b), syncSize)
	}
	if got := binary.BigEndian.Uint16(b[47:]); got != 0 {
		return Sync{}, fmt.Errorf("synchronization packet: reserved: got %#04x, want 0", got)
	}
	s := Sync{CID: cid, Sequence: b[44], Address: binary.BigEndian.Uint16(b[45:])}
	if err := s.Check(); err != nil {
		return Sync{}, err
	}
	return s, nil
}
