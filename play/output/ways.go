package output

import (
	"net"
	"net/netip"
	"sync"
	"time"
)

// theWays are those of this computer, shared by all outputs.
var theWays = &systemWays{}

// systemWays asks the system. The list of interfaces is asked for once for all outputs that
// look at nearly the same time.
type systemWays struct {
	mu     sync.Mutex
	listed time.Time
	list   []net.Interface
	of     map[netip.Addr]string // which interface has an address
}

// fresh is how long a list of interfaces is good: less than the time between two looks of
// one output.
const fresh = watchEvery / 2

// interfaces is the list as it is now.
func (w *systemWays) interfaces() []net.Interface {
	if now := time.Now(); w.list == nil || now.Sub(w.listed) > fresh {
		if list, err := net.Interfaces(); err == nil {
			w.list, w.listed = list, now
		}
	}
	return w.list
}

// to asks the way by a socket that is connected and sends nothing.
func (w *systemWays) to(a netip.Addr) (string, error) {
	conn, err := net.DialUDP("udp", nil, net.UDPAddrFromAddrPort(netip.AddrPortFrom(a, 9))) // 9: discard, RFC 863
	if err != nil {
		return "", err
	}
	defer conn.Close()
	from := conn.LocalAddr().(*net.UDPAddr).AddrPort().Addr().Unmap().WithZone("")
	w.mu.Lock()
	defer w.mu.Unlock()
	if name := w.of[from]; name != "" {
		return name, nil
	}
	w.of = map[netip.Addr]string{} // anew, for addresses move
	for _, ifi := range w.interfaces() {
		addrs, err := ifi.Addrs()
		if err != nil {
			continue
		}
		for _, addr := range addrs {
			if p, err := netip.ParsePrefix(addr.String()); err == nil {
				w.of[p.Addr().WithZone("")] = ifi.Name
			}
		}
	}
	if name := w.of[from]; name != "" {
		return name, nil
	}
	return "", net.UnknownNetworkError(from.String())
}

// link looks at the flags that the system keeps of an interface. An interface is running on
// Linux when its operational state is up or unknown (RFC 2863, 3.1.12), on Windows when it
// is operational; where a system says running of every interface that is up, a cable that
// was pulled shows by the way that is lost. The loopback has no cable.
func (w *systemWays) link(name string) string {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, ifi := range w.interfaces() {
		switch {
		case ifi.Name != name:
		case ifi.Flags&net.FlagLoopback != 0:
			return ""
		case ifi.Flags&net.FlagUp == 0:
			return noLink(name, "it is switched off")
		case ifi.Flags&net.FlagRunning == 0:
			return noLink(name, "no cable is in, or what is at its other end has no power")
		default:
			return ""
		}
	}
	return noLink(name, "the adapter is not there")
}
