package network

import (
	"net"
	"net/netip"
	"time"
)

// Own knows the addresses of this computer. The zero value is ready; it belongs to one
// goroutine.
type Own struct {
	listed time.Time
	all    map[netip.Addr]bool
}

// ownFor is how long a list of addresses is good: they come and go with networks.
const ownFor = 5 * time.Second

// Has tells whether an address is of this computer. Where that has none but the loopback's, its
// own multicast comes from 0.0.0.0, which no network may carry (RFC 1122, 3.2.1.3).
func (o *Own) Has(a netip.Addr) bool {
	a = a.Unmap().WithZone("")
	if now := time.Now(); now.Sub(o.listed) > ownFor {
		addrs, err := net.InterfaceAddrs()
		if err == nil {
			o.listed, o.all = now, map[netip.Addr]bool{}
		}
		for _, one := range addrs {
			if p, err := netip.ParsePrefix(one.String()); err == nil {
				o.all[p.Addr().Unmap()] = true
			}
		}
	}
	return a.IsLoopback() || a.IsUnspecified() || o.all[a]
}
