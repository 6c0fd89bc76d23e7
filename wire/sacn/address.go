package sacn

import (
	"crypto/sha1"
	"net/netip"
)

// Group4 returns the IPv4 multicast group of a universe, 239.255.hi.lo
// (clause 9.3.1).
func Group4(universe uint16) netip.Addr {
	return netip.AddrFrom4([4]byte{239, 255, byte(universe >> 8), byte(universe)})
}

// Group6 returns the IPv6 multicast group of a universe, ff18::8300:universe
// (clause 9.3.2).
func Group6(universe uint16) netip.Addr {
	return netip.AddrFrom16([16]byte{0: 0xFF, 1: 0x18, 12: 0x83, 14: byte(universe >> 8), 15: byte(universe)})
}

// namespace is the UUID under which NameCID makes names, chosen once at random.
var namespace = [16]byte{0x6d, 0x2c, 0x0f, 0x5e, 0x93, 0xb1, 0x4a, 0x77, 0x8e, 0x21, 0x5a, 0xc4, 0x19, 0xd6, 0x30, 0xfb}

// NameCID returns the name-based UUID (RFC 9562, version 5) of a name: the
// same component has the same CID after a restart, so that its receivers know
// it again and do not merge it with its own past (clause 5.6).
func NameCID(name string) [16]byte {
	sum := sha1.Sum(append(namespace[:], name...))
	var cid [16]byte
	copy(cid[:], sum[:])
	cid[6] = cid[6]&0x0F | 0x50
	cid[8] = cid[8]&0x3F | 0x80
	return cid
}
