package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"rsc.io/qr"

	"lampblack/web"
	"lampblack/web/admit"
)

// anyAddress lets the program choose the address for a phone.
const anyAddress = "any"

// phoneFlags are how other machines come.
type phoneFlags struct {
	address, may, tls string
	length            time.Duration
	page              string // that its link leads to, "" for what its right is for
}

func (f *phoneFlags) flags(c *cobra.Command) {
	c.Flags().StringVar(&f.address, "phone", "", "let other devices in the same network come, by an address of this computer as 192.168.1.20:8513, or one that it finds: each is paired by a code that is shown here and on the page Devices")
	c.Flags().Lookup("phone").NoOptDefVal = anyAddress
	c.Flags().StringVar(&f.may, "phone-may", string(admit.Focus), "what the device that scans the first code may do: watch, focus, go or all; the page Devices changes it")
	c.Flags().DurationVar(&f.length, "phone-for", admit.PairedFor, "how long a device stays paired")
	c.Flags().StringVar(&f.tls, "tls", "", "seal what goes to other devices: CERTIFICATE.pem,KEY.pem, or \"self\" for one that this computer makes, of which every browser warns first")
}

// phone is an open way in for other machines.
type phone struct {
	listener net.Listener
	address  string
	right    admit.Right
	page     string
	seal     *seal // nil for none
}

// open listens on an address of this computer in its network; nil when none is asked for.
func (f *phoneFlags) open(ctx context.Context) (*phone, error) {
	right, err := admit.ParseRight(f.may)
	if err != nil {
		return nil, hinted{fmt.Errorf("--phone-may: %w", err), "as --phone-may go"}
	}
	if f.address == "" {
		if f.tls != "" {
			return nil, hinted{fmt.Errorf("--tls seals what goes to other devices, and none may come"), "--phone lets them"}
		}
		return nil, nil
	}
	if f.length < time.Minute || f.length > 400*24*time.Hour {
		return nil, fmt.Errorf("--phone-for %v lies outside a minute to 400 days", f.length)
	}
	l, err := listenPhone(f.address)
	if err != nil {
		return nil, err
	}
	p := &phone{address: l.Addr().String(), right: right, page: f.page, listener: &boundedListener{Listener: l}}
	if f.tls != "" {
		if p.seal, err = openSeal(ctx, f.tls, l.Addr()); err != nil {
			return nil, errors.Join(err, l.Close())
		}
		p.listener = tls.NewListener(p.listener, p.seal.config)
	}
	return p, nil
}

// listenPhone listens on an address of this computer in its network.
func listenPhone(address string) (net.Listener, error) {
	if address == anyAddress {
		ip, err := ownAddress()
		if err != nil {
			return nil, err
		}
		address = net.JoinHostPort(ip, "8513")
	}
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return nil, hinted{fmt.Errorf("phone address %q: %w", address, err), "as 192.168.1.20:8513"}
	}
	if ip := net.ParseIP(host); ip == nil || ip.IsUnspecified() {
		return nil, hinted{fmt.Errorf("a phone needs one address of this computer, and %q is none", host), "as 192.168.1.20:8513"}
	}
	l, err := net.Listen("tcp", address)
	if err != nil { // what is printed is where it is
		l, err = net.Listen("tcp", net.JoinHostPort(host, "0"))
	}
	if err != nil {
		return nil, hinted{fmt.Errorf("serve the phone: %w", err), "is it an address of this computer?"}
	}
	return l, nil
}

// ownAddress is the first address of this computer in a private network (RFC 1918), as that of
// a small router that the phone is in as well.
func ownAddress() (string, error) {
	list, err := net.InterfaceAddrs()
	if err != nil {
		return "", fmt.Errorf("find this computer's address for a phone: %w", err)
	}
	for _, a := range list {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsPrivate() {
			return n.IP.String(), nil
		}
	}
	return "", hinted{fmt.Errorf("this computer has no address in a private network"), "join the network of the phone, or name the address: --phone 192.168.1.20:8513"}
}

// tell prints the link that pairs the first device, and on a terminal its code (ISO/IEC
// 18004).
func (p *phone) tell(w io.Writer, s *web.Server) {
	link, err := s.Invite(p.right, p.page)
	if err != nil {
		return // nobody has asked for more codes than there are
	}
	fmt.Fprintf(w, "for a phone, which must be in the same network; once, within %d minutes (it may: %s): %s\n", int(admit.CodeFor.Minutes()), p.right, link)
	if p.seal != nil {
		p.seal.tell(w)
	}
	if !terminal(w) {
		return
	}
	code, err := qr.Encode(link, qr.L)
	if err != nil {
		return // the link is there to be typed
	}
	// Two rows of the code are one line of half blocks; light on dark, with the quiet zone
	// of four modules that the standard wants.
	const quiet = 4
	for y := -quiet; y < code.Size+quiet; y += 2 {
		var row strings.Builder
		for x := -quiet; x < code.Size+quiet; x++ {
			row.WriteString(map[[2]bool]string{{false, false}: "█", {false, true}: "▀", {true, false}: "▄", {true, true}: " "}[[2]bool{code.Black(x, y), code.Black(x, y+1)}])
		}
		fmt.Fprintln(w, row.String())
	}
}

// Bounds of the connections from other machines: a browser holds six.
const (
	mostConnections = 128
	mostOfAnAddress = 24
)

// boundedListener closes connections beyond the bounds as they come.
type boundedListener struct {
	net.Listener
	mu  sync.Mutex
	all int
	by  map[string]int
}

func (l *boundedListener) Accept() (net.Conn, error) {
	for {
		c, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		host, _, _ := net.SplitHostPort(c.RemoteAddr().String())
		if l.take(host) {
			return &boundedConn{Conn: c, leave: sync.OnceFunc(func() { l.leave(host) })}, nil
		}
		_ = c.Close()
	}
}

func (l *boundedListener) take(host string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.all >= mostConnections || l.by[host] >= mostOfAnAddress {
		return false
	}
	if l.by == nil {
		l.by = map[string]int{}
	}
	l.all++
	l.by[host]++
	return true
}

func (l *boundedListener) leave(host string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.all--
	if l.by[host]--; l.by[host] == 0 {
		delete(l.by, host)
	}
}

type boundedConn struct {
	net.Conn
	leave func()
}

func (c *boundedConn) Close() error {
	c.leave()
	return c.Conn.Close()
}
