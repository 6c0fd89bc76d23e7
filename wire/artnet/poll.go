package artnet

import (
	"encoding/binary"
	"fmt"
	"net/netip"
	"strings"
)

// Flags of ArtPoll.
const (
	ReplyOnChange      = 1 << 1 // send a reply whenever the node changes
	SendDiagnostics    = 1 << 2
	UnicastDiagnostics = 1 << 3
	NoVLC              = 1 << 4
	Targeted           = 1 << 5 // only nodes within Bottom to Top answer
)

// Poll is an ArtPoll packet: who is there? Top, Bottom, Esta and Oem are of
// the newer form, which Append writes when one of them is not zero.
type Poll struct {
	Flags       byte
	Priority    byte   // lowest priority of the diagnostics wanted
	Top, Bottom uint16 // Port-Addresses, with Targeted
	Esta, Oem   uint16 // codes of the sender's maker and kind
}

const (
	pollLeast = 12 // shorter polls of old controllers must be taken
	pollLong  = 22
)

// Append appends the packet to b.
func (p *Poll) Append(b []byte) []byte {
	b = append(appendHead(b, OpPoll), p.Flags, p.Priority)
	if p.Top|p.Bottom|p.Esta|p.Oem == 0 {
		return b
	}
	for _, v := range []uint16{p.Top, p.Bottom, p.Esta, p.Oem} {
		b = binary.BigEndian.AppendUint16(b, v)
	}
	return b
}

// ParsePoll reads an ArtPoll packet of 12 octets or more; what is missing is 0.
func ParsePoll(b []byte) (Poll, error) {
	if err := parseHead(b, "ArtPoll", OpPoll, pollLeast); err != nil {
		return Poll{}, err
	}
	var full [pollLong]byte
	copy(full[:], b)
	return Poll{
		Flags: full[12], Priority: full[13],
		Top: binary.BigEndian.Uint16(full[14:]), Bottom: binary.BigEndian.Uint16(full[16:]),
		Esta: binary.BigEndian.Uint16(full[18:]), Oem: binary.BigEndian.Uint16(full[20:]),
	}, nil
}

// Style says what a node is.
type Style byte

// The styles that matter here.
const (
	StyleNode       Style = 0
	StyleController Style = 1
)

// Bits of PollReply.PortTypes: what a port can do and its protocol.
const (
	PortOutput = 1 << 7 // data of the network goes out here
	PortInput  = 1 << 6
)

// Status2LongPort is the bit of Status2 that says a node understands 15-bit
// Port-Addresses.
const Status2LongPort = 1 << 3

// PollReply is an ArtPollReply packet: a node describes itself and up to four
// of its ports. A node of more ports sends several, told apart by BindIndex.
type PollReply struct {
	IP           [4]byte  // 10
	UDPPort      uint16   // 14, little-endian
	Version      uint16   // 16, firmware
	Net, SubNet  byte     // 18, 19: upper bits of the Port-Addresses
	Oem          uint16   // 20
	Ubea         byte     // 22
	Status1      byte     // 23
	Esta         uint16   // 24, little-endian
	ShortName    string   // 26, up to 17 octets
	LongName     string   // 44, up to 63
	Report       string   // 108, up to 63: "#xxxx [yyyy] text"
	NumPorts     uint16   // 172
	PortTypes    [4]byte  // 174
	GoodInput    [4]byte  // 178
	GoodOutputA  [4]byte  // 182
	SwIn         [4]byte  // 186, low 4 bits of each input's Port-Address
	SwOut        [4]byte  // 190, low 4 bits of each output's Port-Address
	AcnPriority  byte     // 194
	SwMacro      byte     // 195
	SwRemote     byte     // 196
	Spare        [3]byte  // 197
	Style        Style    // 200
	MAC          [6]byte  // 201
	BindIP       [4]byte  // 207
	BindIndex    byte     // 211
	Status2      byte     // 212
	GoodOutputB  [4]byte  // 213
	Status3      byte     // 217
	ResponderUID [6]byte  // 218
	User         [2]byte  // 224
	RefreshRate  uint16   // 226, packets a second
	Filler       [11]byte // 228
}

const (
	replyLeast = 198 // the oldest form
	replySize  = 239
)

// Outputs returns the Port-Addresses of the ports that put out what the
// network sends them.
func (p *PollReply) Outputs() []uint16 {
	var out []uint16
	for i := range min(int(p.NumPorts), 4) {
		if p.PortTypes[i]&PortOutput != 0 {
			out = append(out, PortAddress(p.Net, p.SubNet, p.SwOut[i]))
		}
	}
	return out
}

// Addr returns the address that the node says it has.
func (p *PollReply) Addr() netip.Addr { return netip.AddrFrom4(p.IP) }

// Append appends the packet to b. Names that are too long are cut.
func (p *PollReply) Append(b []byte) []byte {
	b = append(b, identifier...)
	b = binary.LittleEndian.AppendUint16(b, uint16(OpPollReply))
	b = append(b, p.IP[:]...)
	b = binary.LittleEndian.AppendUint16(b, p.UDPPort)
	b = binary.BigEndian.AppendUint16(b, p.Version)
	b = append(b, p.Net, p.SubNet)
	b = binary.BigEndian.AppendUint16(b, p.Oem)
	b = append(b, p.Ubea, p.Status1)
	b = binary.LittleEndian.AppendUint16(b, p.Esta)
	b = appendText(b, p.ShortName, 18)
	b = appendText(b, p.LongName, 64)
	b = appendText(b, p.Report, 64)
	b = binary.BigEndian.AppendUint16(b, p.NumPorts)
	for _, ports := range [][4]byte{p.PortTypes, p.GoodInput, p.GoodOutputA, p.SwIn, p.SwOut} {
		b = append(b, ports[:]...)
	}
	b = append(b, p.AcnPriority, p.SwMacro, p.SwRemote)
	b = append(b, p.Spare[:]...)
	b = append(b, byte(p.Style))
	b = append(b, p.MAC[:]...)
	b = append(b, p.BindIP[:]...)
	b = append(b, p.BindIndex, p.Status2)
	b = append(b, p.GoodOutputB[:]...)
	b = append(b, p.Status3)
	b = append(b, p.ResponderUID[:]...)
	b = append(b, p.User[:]...)
	b = binary.BigEndian.AppendUint16(b, p.RefreshRate)
	return append(b, p.Filler[:]...)
}

func appendText(b []byte, s string, size int) []byte {
	s, _, _ = strings.Cut(s, "\x00")
	s = s[:min(len(s), size-1)]
	b = append(b, s...)
	return append(b, make([]byte, size-len(s))...)
}

// ParsePollReply reads an ArtPollReply packet of 198 octets or more; what is
// missing is 0.
func ParsePollReply(b []byte) (PollReply, error) {
	if err := parseHead(b, "ArtPollReply", OpPollReply, replyLeast); err != nil {
		return PollReply{}, err
	}
	var f [replySize]byte
	copy(f[:], b)
	p := PollReply{
		IP: [4]byte(f[10:]), UDPPort: binary.LittleEndian.Uint16(f[14:]), Version: binary.BigEndian.Uint16(f[16:]),
		Net: f[18], SubNet: f[19], Oem: binary.BigEndian.Uint16(f[20:]), Ubea: f[22], Status1: f[23],
		Esta: binary.LittleEndian.Uint16(f[24:]), ShortName: text(f[26:44]), LongName: text(f[44:108]), Report: text(f[108:172]),
		NumPorts: binary.BigEndian.Uint16(f[172:]), PortTypes: [4]byte(f[174:]), GoodInput: [4]byte(f[178:]),
		GoodOutputA: [4]byte(f[182:]), SwIn: [4]byte(f[186:]), SwOut: [4]byte(f[190:]), AcnPriority: f[194],
		SwMacro: f[195], SwRemote: f[196], Spare: [3]byte(f[197:]), Style: Style(f[200]), MAC: [6]byte(f[201:]),
		BindIP: [4]byte(f[207:]), BindIndex: f[211], Status2: f[212], GoodOutputB: [4]byte(f[213:]), Status3: f[217],
		ResponderUID: [6]byte(f[218:]), User: [2]byte(f[224:]), RefreshRate: binary.BigEndian.Uint16(f[226:]), Filler: [11]byte(f[228:]),
	}
	if p.NumPorts > 4 {
		return PollReply{}, fmt.Errorf("ArtPollReply packet: NumPorts: got %d, want 0 to 4", p.NumPorts)
	}
	return p, nil
}

// text cuts a field at its NUL, and at its last octet, which must be one.
func text(field []byte) string {
	s, _, _ := strings.Cut(string(field[:len(field)-1]), "\x00")
	return s
}
