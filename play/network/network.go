// Package network holds what listening sockets have in common: [Share] lets several
// programs of one host listen on a protocol's own port, and [Interface] finds a
// network interface by name.
package network

import (
	"fmt"
	"net"
	"strings"
)

// Interface looks an interface up by name, or says which there are.
func Interface(name string) (*net.Interface, error) {
	ifi, err := net.InterfaceByName(name)
	if err == nil {
		return ifi, nil
	}
	all, err := net.Interfaces()
	if err != nil {
		return nil, fmt.Errorf("list network interfaces: %w", err)
	}
	var names []string
	for _, i := range all {
		names = append(names, i.Name)
	}
	return nil, fmt.Errorf("network interface %q: not there now, only %s", name, strings.Join(names, ", "))
}
