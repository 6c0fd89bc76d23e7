//go:build !linux

package output

// returns has nothing to tell: these systems tell an unconnected socket nothing of what the
// network sends back.
func (s *udpSocket) returns(tell func(error)) { s.came = tell }
