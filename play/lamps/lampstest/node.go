package lampstest

import (
	"context"
	"net"
	"net/netip"
	"sync"

	"lampblack/play/network"
)

// Node is an Art-Net node with RDM, on a socket of its own.
type Node struct {
	Wires map[int]*Wire // by Port-Address
	NoRDM bool          // it takes light alone
	Small int           // how many devices it puts into one packet; 0 for 200

	conn *net.UDPConn
	done sync.WaitGroup

	mu     sync.Mutex
	tables map[int][][6]byte // what it found
	frames int
	asked  int
}

// Start begins to answer at an address of this computer.
func (n *Node) Start(at netip.AddrPort) error {
	config := net.ListenConfig{Control: network.Share} // who asks listens on the same port
	conn, err := config.ListenPacket(context.Background(), "udp4", at.String())
	if err != nil {
		return err
	}
	n.conn, n.tables = conn.(*net.UDPConn), map[int][][6]byte{}
	n.done.Go(n.serve)
	return nil
}

// Addr is where it answers.
func (n *Node) Addr() netip.AddrPort { return n.conn.LocalAddr().(*net.UDPAddr).AddrPort() }

// Close ends it.
func (n *Node) Close() error {
	err := n.conn.Close()
	n.done.Wait()
	return err
}

// Asked is how often it was asked for tables.
func (n *Node) Asked() int {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.asked
}

// Frames is how many packets of levels came.
func (n *Node) Frames() int {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.frames
}

func (n *Node) serve() {
	b := make([]byte, 2048)
	for {
		size, from, err := n.conn.ReadFromUDPAddrPort(b)
		if err != nil {
			return
		}
		if size >= 12 && string(b[:8]) == "Art-Net\x00" && b[8] == 0 {
			n.take(b[:size], from)
		}
	}
}

func (n *Node) take(b []byte, from netip.AddrPort) {
	rdm := !n.NoRDM && len(b) >= 24
	switch {
	case b[9] == 0x20:
		for a := range n.Wires {
			n.send(n.pollReply(a), from)
		}
	case b[9] == 0x50:
		n.mu.Lock()
		n.frames++
		n.mu.Unlock()
	case b[9] == 0x80 && rdm:
		n.mu.Lock()
		n.asked++
		n.mu.Unlock()
		for _, a := range b[24:min(len(b), 24+int(b[23]))] {
			n.table(int(b[21])<<8|int(a), from)
		}
	case b[9] == 0x82 && rdm && b[22] == 1:
		a := int(b[21])<<8 | int(b[23])
		if w := n.Wires[a]; w != nil {
			n.tables[a] = nil
			for _, l := range w.Lamps {
				n.tables[a] = append(n.tables[a], l.UID)
			}
			n.table(a, from)
		}
	case b[9] == 0x83 && rdm:
		if w := n.Wires[int(b[21])<<8|int(b[23])]; w != nil {
			if said := w.Answer(append([]byte{0xCC}, b[24:]...)); len(said) > 0 {
				n.send(append(head(0x83, 1, 0, 0, 0, 0, 0, 0, 0, 0, b[21], 0, b[23]), said[1:]...), from)
			}
		}
	}
}

func head(op byte, rest ...byte) []byte {
	b := append([]byte("Art-Net\x00"), 0, op, 0, 14)
	return append(b, rest...)
}

func (n *Node) send(b []byte, to netip.AddrPort) { _, _ = n.conn.WriteToUDPAddrPort(b, to) }

// table sends what it found on a line, in several packets where it is long.
func (n *Node) table(a int, to netip.AddrPort) {
	if n.Wires[a] == nil {
		return
	}
	all := n.tables[a]
	size := n.Small
	if size == 0 {
		size = 200
	}
	for block := 0; block == 0 || block*size < len(all); block++ {
		part := all[block*size : min(len(all), (block+1)*size)]
		b := head(0x81, 1, 1, 0, 0, 0, 0, 0, 0, 1, byte(a>>8), 0, byte(a), byte(len(all)>>8), byte(len(all)), byte(block), byte(len(part)))
		for _, u := range part {
			b = append(b, u[:]...)
		}
		n.send(b, to)
	}
}

// pollReply describes one output.
func (n *Node) pollReply(a int) []byte {
	b := make([]byte, 239)
	copy(b, "Art-Net\x00")
	b[9] = 0x21
	copy(b[10:], n.Addr().Addr().AsSlice())
	b[14], b[15] = 0x36, 0x19
	b[18], b[19] = byte(a>>8), byte(a>>4)&15
	b[23] = 2 // RDM
	copy(b[26:], "node of a test")
	b[173], b[174], b[190] = 1, 0x80, byte(a)&15
	b[211] = 1
	return b
}
