package sacn

import (
	"encoding/binary"
	"time"
)

// DataLoss is the time without a packet after which a source is lost
// (clause 6.7.1; appendix A: E131_NETWORK_DATA_LOSS_TIMEOUT).
const DataLoss = 2500 * time.Millisecond

// Accept reports whether a packet with the new sequence number is to be taken
// after one with the last (clause 6.7.2): a packet that is late by 1 to 19, or
// the same again, is not.
func Accept(last, new byte) bool {
	d := int8(new - last)
	return d <= -20 || d > 0
}

// Kind tells the three packets apart.
type Kind byte

// The kinds of packet, and Other for anything else.
const (
	Other Kind = iota
	KindData
	KindSync
	KindDiscovery
)

// KindOf looks at the identifier and vectors alone: the packet may still be
// damaged.
func KindOf(b []byte) Kind {
	if len(b) < bodyAt || string(b[:rootAt]) != string(preamble) {
		return Other
	}
	root, frame := binary.BigEndian.Uint32(b[18:]), binary.BigEndian.Uint32(b[40:])
	switch {
	case root == rootData && frame == frameData:
		return KindData
	case root == rootExtended && frame == frameSync:
		return KindSync
	case root == rootExtended && frame == frameList:
		return KindDiscovery
	}
	return Other
}
