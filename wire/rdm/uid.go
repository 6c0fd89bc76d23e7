package rdm

import (
	"encoding/binary"
	"fmt"
	"strconv"
	"strings"
)

// UID names a device for all times: two octets of its maker, four of the device (clause
// 5.1).
type UID [6]byte

// Broadcast is the UID of all devices of all makers (clause 5.3).
var Broadcast = UID{0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF}

// MaxUID is the highest that a device may have: the maker's code 0xFFFF is for broadcasts,
// as is the device's number 0xFFFFFFFF (clause 5.3).
const MaxUID = 0xFFFE_FFFF_FFFE

// UIDOf is the UID of a 48-bit number.
func UIDOf(n uint64) UID {
	var b [8]byte
	binary.BigEndian.PutUint64(b[:], n)
	return UID(b[2:])
}

// Number is the UID as a 48-bit number, by which devices are searched for.
func (u UID) Number() uint64 {
	var b [8]byte
	copy(b[2:], u[:])
	return binary.BigEndian.Uint64(b[:])
}

// Maker is the code of the maker.
func (u UID) Maker() uint16 { return binary.BigEndian.Uint16(u[:]) }

// All tells whether the UID stands for many devices: all, or all of one maker.
func (u UID) All() bool { return [4]byte(u[2:]) == [4]byte{0xFF, 0xFF, 0xFF, 0xFF} }

// String writes the UID as makers print it on their devices: 7a70:00000001.
func (u UID) String() string { return fmt.Sprintf("%x:%x", u[:2], u[2:]) }

// MarshalText writes it as String does.
func (u UID) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// UnmarshalText reads what String writes.
func (u *UID) UnmarshalText(b []byte) error {
	maker, device, ok := strings.Cut(string(b), ":")
	m, err1 := strconv.ParseUint(maker, 16, 16)
	d, err2 := strconv.ParseUint(device, 16, 32)
	if !ok || len(maker) != 4 || len(device) != 8 || err1 != nil || err2 != nil {
		return fmt.Errorf("got %q, want a device's identifier, as 7a70:00000001", b)
	}
	*u = UIDOf(m<<32 | d)
	return nil
}
