package rdm

import (
	"encoding/binary"
	"fmt"
)

const (
	preamble     = 0xFE
	preambleSize = 7
	separator    = 0xAA
	encodedSize  = 16
)

// Branch is the data of [UniqueBranch]: the lowest and the highest UID that are asked
// (clause 7.5).
func Branch(low, high uint64) []byte {
	l, h := UIDOf(low), UIDOf(high)
	return append(l[:], h[:]...)
}

// AppendDiscoveryReply appends what a device says when a range is asked that it lies in
// (clause 7.5.1).
func AppendDiscoveryReply(b []byte, u UID) []byte {
	for range preambleSize {
		b = append(b, preamble)
	}
	b = append(b, separator)
	start := len(b)
	for _, v := range u {
		b = append(b, v|0xAA, v|0x55)
	}
	s := sum(b[start:])
	return append(b, byte(s>>8)|0xAA, byte(s>>8)|0x55, byte(s)|0xAA, byte(s)|0x55)
}

// ParseDiscoveryReply reads what came back when a range was asked. Several devices that
// answered at once make an error; so does noise. Up to all of the preamble may be missing,
// as splitters eat some of it; octets behind the checksum are passed over.
func ParseDiscoveryReply(b []byte) (UID, error) {
	rest := b
	for n := 0; n < preambleSize && len(rest) > 0 && rest[0] == preamble; n++ {
		rest = rest[1:]
	}
	if len(rest) < 1+encodedSize || rest[0] != separator {
		return UID{}, fmt.Errorf("discovery reply: got % x, want a separator %#02x and %d octets", rest[:min(len(rest), 20)], separator, encodedSize)
	}
	code := rest[1 : 1+encodedSize]
	var plain [encodedSize / 2]byte
	for i := range plain {
		high, low := code[2*i], code[2*i+1]
		if high|0x55 != 0xFF || low|0xAA != 0xFF {
			return UID{}, fmt.Errorf("discovery reply: octet %d: got %#02x %#02x, want the odd bits of the first and the even bits of the second set", i, high, low)
		}
		plain[i] = high & low
	}
	if got, want := binary.BigEndian.Uint16(plain[6:]), sum(code[:12]); got != want {
		return UID{}, fmt.Errorf("discovery reply: checksum: got %#04x, want %#04x", got, want)
	}
	return UID(plain[:6]), nil
}
