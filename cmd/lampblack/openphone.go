package main

import (
	"crypto/rand"
	"fmt"
	"io"
	"net"
	"strings"

	"rsc.io/qr"

	"lampblack/web"
)

// anyAddress lets the program choose the address for a phone.
const anyAddress = "any"

// openPhone listens on an address of this computer in its network, for a phone.
func openPhone(address string) (net.Listener, *web.Guest, error) {
	if address == anyAddress {
		ip, err := ownAddress()
		if err != nil {
			return nil, nil, err
		}
		address = net.JoinHostPort(ip, "8513")
	}
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return nil, nil, hinted{fmt.Errorf("phone address %q: %w", address, err), "as 192.168.1.20:8513"}
	}
	if ip := net.ParseIP(host); ip == nil || ip.IsUnspecified() {
		return nil, nil, hinted{fmt.Errorf("a phone needs one address of this computer, and %q is none", host), "as 192.168.1.20:8513"}
	}
	l, err := net.Listen("tcp", address)
	if err != nil { // what is printed is where it is
		l, err = net.Listen("tcp", net.JoinHostPort(host, "0"))
	}
	if err != nil {
		return nil, nil, hinted{fmt.Errorf("serve the phone: %w", err), "is it an address of this computer?"}
	}
	return l, &web.Guest{Address: l.Addr().String(), Key: strings.ToLower(rand.Text()[:16])}, nil
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

// tellPhone prints the link for the phone, and on a terminal its code (ISO/IEC 18004).
func tellPhone(w io.Writer, g *web.Guest) {
	link := g.Link("/focus")
	fmt.Fprintf(w, "for the phone, which must be in the same network: %s\n", link)
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
