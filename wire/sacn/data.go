package sacn

import (
	"encoding/binary"
	"fmt"
)

// Data is an E1.31 data packet: the slots of one universe (clause 6.2).
type Data struct {
	CID         [16]byte
	Source      string // up to MaxSource octets of UTF-8; Append cuts a longer one
	Priority    byte   // 0 to MaxPriority
	SyncAddress uint16 // universe of the synchronization packets to wait for, or 0
	Sequence    byte
	Preview     bool // not for live output
	Terminated  bool // the source has stopped: ignore the slots
	ForceSync   bool // go on without synchronization when it is lost
	Universe    uint16
	Start       byte // START code of ANSI E1.11, 0 for levels
	Slots       []byte
}

// DataHead is how many octets of a data packet stand before its first slot.
const DataHead = 126

const (
	// Bits of the options octet (clause 6.2.6); the rest must be zero when sent.
	preview    = 1 << 7
	terminated = 1 << 6
	forceSync  = 1 << 5
)

// Check returns an error that names the first field whose value a data packet
// cannot carry.
func (d *Data) Check() error {
	switch {
	case d.Universe < 1 || d.Universe > MaxUniverse:
		return fmt.Errorf("data packet: universe: got %d, want 1 to %d", d.Universe, MaxUniverse)
	case d.Priority > MaxPriority:
		return fmt.Errorf("data packet: priority: got %d, want 0 to %d", d.Priority, MaxPriority)
	case d.SyncAddress > MaxUniverse:
		return fmt.Errorf("data packet: synchronization address: got %d, want 0 to %d", d.SyncAddress, MaxUniverse)
	case len(d.Slots) > MaxSlots:
		return fmt.Errorf("data packet: slots: got %d, want at most %d", len(d.Slots), MaxSlots)
	}
	return nil
}

// Append appends the packet to b. It panics on a packet that Check refuses:
// what the user may set is checked where it is read.
func (d *Data) Append(b []byte) []byte {
	if err := d.Check(); err != nil {
		panic("sacn: " + err.Error())
	}
	n := DataHead + len(d.Slots)
	b = appendRoot(b, n, rootData, d.CID)
	b = appendLength(b, n-frameAt)
	b = binary.BigEndian.AppendUint32(b, frameData)
	b = appendSource(b, d.Source)
	b = append(b, d.Priority)                           // clause 6.2.3
	b = binary.BigEndian.AppendUint16(b, d.SyncAddress) // clause 6.2.4
	b = append(b, d.Sequence, d.options())              // clauses 6.2.5, 6.2.6
	b = binary.BigEndian.AppendUint16(b, d.Universe)    // clause 6.2.7
	b = appendLength(b, n-dmpAt)                        // clause 7.1
	// Slots are properties of one octet from address 0 on, one apart. The START code is
	// the first of them, so there is one more than there are slots.
	b = append(b, setProperty, 0xA1, 0, 0, 0, 1)               // clauses 7.2 to 7.5
	b = binary.BigEndian.AppendUint16(b, uint16(n-DataHead)+1) // clause 7.6
	b = append(b, d.Start)                                     // clause 7.7
	return append(b, d.Slots...)
}

// options is the octet at 112.
func (d *Data) options() byte {
	var o byte
	if d.Preview {
		o |= preview
	}
	if d.Terminated {
		o |= terminated
	}
	if d.ForceSync {
		o |= forceSync
	}
	return o
}

// SetSequence changes the sequence number of an encoded data packet. A sender of
// many universes keeps its packets, changes the slots behind DataHead and this,
// and need not encode the rest again.
func SetSequence(packet []byte, sequence byte) { packet[111] = sequence }

// ParseData reads a data packet. The slots are part of b, not a copy.
func ParseData(b []byte) (Data, error) {
	cid, err := parseRoot(b, "data", DataHead, rootData, frameData)
	if err != nil {
		return Data{}, err
	}
	source, err := parseSource(b, "data")
	if err != nil {
		return Data{}, err
	}
	if err := checkDMP(b); err != nil {
		return Data{}, err
	}
	options := b[112]
	if options&^(preview|terminated|forceSync) != 0 {
		return Data{}, fmt.Errorf("data packet: options: got %#02x, want bits 4 to 0 zero", options)
	}
	// Offsets are those of the package page.
	d := Data{
		CID: cid, Source: source, Priority: b[108],
		SyncAddress: binary.BigEndian.Uint16(b[109:]), Sequence: b[111],
		Preview: options&preview != 0, Terminated: options&terminated != 0, ForceSync: options&forceSync != 0,
		Universe: binary.BigEndian.Uint16(b[113:]), Start: b[125], Slots: b[DataHead:],
	}
	if err := d.Check(); err != nil {
		return Data{}, err
	}
	return d, nil
}

// checkDMP checks the constants and counts of the DMP layer (clause 7).
func checkDMP(b []byte) error {
	if err := checkLength(b, "data", "DMP", dmpAt); err != nil {
		return err
	}
	if got := b[117]; got != setProperty {
		return fmt.Errorf("data packet: DMP vector: got %#02x, want %#02x", got, setProperty)
	}
	if got := b[118]; got != 0xA1 {
		return fmt.Errorf("data packet: address and data type: got %#02x, want 0xa1", got)
	}
	if got := binary.BigEndian.Uint16(b[119:]); got != 0 {
		return fmt.Errorf("data packet: first property address: got %d, want 0", got)
	}
	if got := binary.BigEndian.Uint16(b[121:]); got != 1 {
		return fmt.Errorf("data packet: address increment: got %d, want 1", got)
	}
	if got, want := int(binary.BigEndian.Uint16(b[123:])), len(b)-DataHead+1; got != want {
		return fmt.Errorf("data packet: property value count: got %d, want %d", got, want)
	}
	return nil
}
