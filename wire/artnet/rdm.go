package artnet

import (
	"encoding/binary"
	"fmt"
)

// rdmVersion is the form of RDM that packets carry: that of ANSI E1.20.
const rdmVersion = 0x01

// TodAsk is an ArtTodRequest: which devices are known on these lines?
//
//	12 2  filler      14 7  spare
//	21 1  Net, the upper 7 bits of the Port-Addresses
//	22 1  Command: 0 all of the table
//	23 1  AddCount    24 32 the lower 8 bits of the Port-Addresses
type TodAsk struct {
	Net       byte
	Addresses []byte // at most 32
}

const (
	todAskSize  = 56
	mostAsked   = 32
	rdmHead     = 24
	todDataHead = 28
	uidSize     = 6
	mostUIDs    = 200
)

// Append appends the packet to b. It panics on more than 32 addresses.
func (t *TodAsk) Append(b []byte) []byte {
	if len(t.Addresses) > mostAsked {
		panic(fmt.Sprintf("artnet: ArtTodRequest of %d addresses, want at most %d", len(t.Addresses), mostAsked))
	}
	b = append(appendHead(b, OpTodAsk), 0, 0, 0, 0, 0, 0, 0, 0, 0, t.Net&0x7F, 0, byte(len(t.Addresses)))
	var addresses [mostAsked]byte
	copy(addresses[:], t.Addresses)
	return append(b, addresses[:]...)
}

// ParseTodAsk reads an ArtTodRequest. The addresses are part of b, not a copy.
func ParseTodAsk(b []byte) (TodAsk, error) {
	if err := parseHead(b, "ArtTodRequest", OpTodAsk, rdmHead); err != nil {
		return TodAsk{}, err
	}
	n := int(b[23])
	if n > mostAsked || len(b) < rdmHead+n {
		return TodAsk{}, fmt.Errorf("ArtTodRequest packet: AddCount: got %d in %d octets, want at most %d, and all there", n, len(b), mostAsked)
	}
	return TodAsk{Net: b[21] & 0x7F, Addresses: b[rdmHead : rdmHead+n]}, nil
}

// TodDo is an ArtTodControl: what a node is to do about the table of a line.
//
//	12 2  filler      14 7  spare
//	21 1  Net         22 1  Command         23 1  Address
type TodDo struct {
	PortAddress uint16
	Command     TodCommand
}

// TodCommand is what a node is to do.
type TodCommand byte

// Commands of ArtTodControl.
const (
	TodFlush  TodCommand = 1 // forget the table, and look for devices anew
	TodEnd    TodCommand = 2 // end a search
	TodIncOn  TodCommand = 3 // look for devices between frames
	TodIncOff TodCommand = 4
)

// Append appends the packet to b.
func (t *TodDo) Append(b []byte) []byte {
	return append(appendHead(b, OpTodDo), 0, 0, 0, 0, 0, 0, 0, 0, 0, byte(t.PortAddress>>8)&0x7F, byte(t.Command), byte(t.PortAddress))
}

// ParseTodDo reads an ArtTodControl.
func ParseTodDo(b []byte) (TodDo, error) {
	if err := parseHead(b, "ArtTodControl", OpTodDo, rdmHead); err != nil {
		return TodDo{}, err
	}
	return TodDo{uint16(b[21]&0x7F)<<8 | uint16(b[23]), TodCommand(b[22])}, nil
}

// TodData is an ArtTodData: devices of one line of a node.
//
//	12 1  RdmVer 1    13 1  Port, 1 to 4    14 6  spare    20 1  BindIndex
//	21 1  Net         22 1  CommandResponse: 0 the table, 0xFF it is not to be had
//	23 1  Address     24 2  UidTotal, of the whole table, big-endian
//	26 1  BlockCount, which part this is, from 0
//	27 1  UidCount    28 6n UIDs
type TodData struct {
	Port, BindIndex byte
	PortAddress     uint16
	Refused         bool
	Total           uint16
	Block           byte
	UIDs            [][6]byte // at most 200
}

// Append appends the packet to b. It panics on more than 200 devices.
func (t *TodData) Append(b []byte) []byte {
	if len(t.UIDs) > mostUIDs {
		panic(fmt.Sprintf("artnet: ArtTodData of %d devices, want at most %d", len(t.UIDs), mostUIDs))
	}
	command := byte(0)
	if t.Refused {
		command = 0xFF
	}
	b = append(appendHead(b, OpTodData), rdmVersion, t.Port, 0, 0, 0, 0, 0, 0, t.BindIndex, byte(t.PortAddress>>8)&0x7F, command, byte(t.PortAddress))
	b = binary.BigEndian.AppendUint16(b, t.Total)
	b = append(b, t.Block, byte(len(t.UIDs)))
	for i := range t.UIDs {
		b = append(b, t.UIDs[i][:]...)
	}
	return b
}

// ParseTodData reads an ArtTodData.
func ParseTodData(b []byte) (TodData, error) {
	if err := parseHead(b, "ArtTodData", OpTodData, todDataHead); err != nil {
		return TodData{}, err
	}
	n := int(b[27])
	if n > mostUIDs || len(b) < todDataHead+uidSize*n {
		return TodData{}, fmt.Errorf("ArtTodData packet: UidCount: got %d in %d octets, want at most %d, and all there", n, len(b), mostUIDs)
	}
	t := TodData{Port: b[13], BindIndex: b[20], PortAddress: uint16(b[21]&0x7F)<<8 | uint16(b[23]), Refused: b[22] != 0,
		Total: binary.BigEndian.Uint16(b[24:]), Block: b[26]}
	for i := range n {
		t.UIDs = append(t.UIDs, [6]byte(b[todDataHead+uidSize*i:]))
	}
	return t, nil
}

// Rdm is an ArtRdm: one packet of RDM on its way to a line of a node, or back.
//
//	12 1  RdmVer 1    13 1  filler          14 7  spare
//	21 1  Net         22 1  Command: 0 process it
//	23 1  Address     24 n  the packet from its sub START code to its checksum
type Rdm struct {
	PortAddress uint16
	Packet      []byte // START code first, as on the line
}

// Append appends the packet to b. It panics on an empty Packet.
func (r *Rdm) Append(b []byte) []byte {
	b = append(appendHead(b, OpRdm), rdmVersion, 0, 0, 0, 0, 0, 0, 0, 0, byte(r.PortAddress>>8)&0x7F, 0, byte(r.PortAddress))
	return append(b, r.Packet[1:]...)
}

// rdmStart is the START code that ArtRdm leaves out (ANSI E1.20).
const rdmStart = 0xCC

// ParseRdm reads an ArtRdm.
func ParseRdm(b []byte) (Rdm, error) {
	if err := parseHead(b, "ArtRdm", OpRdm, rdmHead+1); err != nil {
		return Rdm{}, err
	}
	if b[22] != 0 {
		return Rdm{}, fmt.Errorf("ArtRdm packet: Command: got %d, want 0", b[22])
	}
	return Rdm{uint16(b[21]&0x7F)<<8 | uint16(b[23]), append([]byte{rdmStart}, b[rdmHead:]...)}, nil
}
