package lampstest

import "sync"

// Wire is a data line with lamps on it. It is safe for many goroutines.
type Wire struct {
	Lamps []*Lamp
	Lose  func() bool // whether the next packet to or from a lamp is lost; nil for none
	Jam   bool        // something disturbs every search

	mu    sync.Mutex
	asked int
}

// Asked is how many packets went out on the line.
func (w *Wire) Asked() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.asked
}

// Do changes lamps while nobody asks.
func (w *Wire) Do(change func()) {
	w.mu.Lock()
	defer w.mu.Unlock()
	change()
}

func (w *Wire) lost() bool { return w.Lose != nil && w.Lose() }

// Answer is what comes back on the line when a packet goes out, START code first; nil for
// silence. Lamps that answer at once pull the line together: its octets come as the one or
// the other, here as both at once.
func (w *Wire) Answer(p []byte) []byte {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.asked++
	if !whole(p) {
		return nil
	}
	class, pid := int(p[20]), int(p[21])<<8|int(p[22])
	var together []byte
	for _, l := range w.Lamps {
		if w.lost() {
			continue
		}
		var said []byte
		if class == discovery {
			said = l.discovered(pid, p)
		} else if [6]byte(p[3:9]) == l.UID {
			said = l.reply(class, pid, p)
		}
		if said != nil && !w.lost() {
			together = over(together, said)
		}
	}
	if w.Jam && pid == 1 {
		return []byte{0xFE, 0x13, 0x00, 0x77}
	}
	return together
}

// over lays one answer over another.
func over(a, b []byte) []byte {
	if len(a) < len(b) {
		a, b = b, a
	}
	out := append([]byte(nil), a...)
	for i, v := range b {
		out[i] |= v
	}
	return out
}

// whole checks a packet by length and checksum.
func whole(p []byte) bool {
	if len(p) < 26 || p[0] != 0xCC || p[1] != 1 || int(p[2])+2 != len(p) || int(p[23])+24 != int(p[2]) {
		return false
	}
	sum := 0
	for _, v := range p[:len(p)-2] {
		sum += int(v)
	}
	return byte(sum>>8) == p[len(p)-2] && byte(sum) == p[len(p)-1]
}

func number(b []byte) (n uint64) {
	for _, v := range b[:6] {
		n = n<<8 | uint64(v)
	}
	return n
}

// discovered answers a search.
func (l *Lamp) discovered(pid int, p []byte) []byte {
	all := [6]byte{0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF}
	to := [6]byte(p[3:9])
	switch {
	case pid == 1 && len(p) == 26+12:
		own := number(l.UID[:])
		if l.muted && !l.Stubborn || own < number(p[24:]) || own > number(p[30:]) {
			return nil
		}
		b := []byte{0xFE, 0xFE, 0xFE, 0xFE, 0xFE, 0xFE, 0xFE, 0xAA}
		sum := 0
		for _, v := range l.UID {
			b = append(b, v|0xAA, v|0x55)
			sum += int(v|0xAA) + int(v|0x55)
		}
		return append(b, byte(sum>>8)|0xAA, byte(sum>>8)|0x55, byte(sum)|0xAA, byte(sum)|0x55)
	case pid == 3 && to == all:
		l.muted = false
	case pid == 2 && to == l.UID:
		l.muted = true
		return l.packet(p, ack, 0x11, pid, []byte{0, 0})
	}
	return nil
}

// reply answers a request to the lamp itself.
func (l *Lamp) reply(class, pid int, p []byte) []byte {
	data := p[24 : len(p)-2]
	if pid == 0x0020 {
		if len(l.queue) == 0 {
			return l.packet(p, ack, get+1, 0x0030, nil)
		}
		next := l.queue[0]
		l.queue = l.queue[1:]
		return l.packet(p, next[0], int(next[1]), int(next[2])<<8|int(next[3]), next[4:])
	}
	kind, out := l.answer(class, pid, data)
	if l.Later[pid] {
		l.queue = append(l.queue, append([]byte{kind, byte(class + 1), byte(pid >> 8), byte(pid)}, out...))
		return l.packet(p, timer, class+1, pid, two(1))
	}
	return l.packet(p, kind, class+1, pid, out)
}

// packet puts a response together.
func (l *Lamp) packet(request []byte, kind byte, class, pid int, data []byte) []byte {
	b := []byte{0xCC, 1, byte(24 + len(data))}
	b = append(b, request[9:15]...)
	b = append(b, l.UID[:]...)
	b = append(b, request[15], kind, byte(len(l.queue)), 0, 0, byte(class), byte(pid>>8), byte(pid), byte(len(data)))
	b = append(b, data...)
	sum := 0
	for _, v := range b {
		sum += int(v)
	}
	return append(b, byte(sum>>8), byte(sum))
}
