package mp3

import "math"

// A granule is the spectrum of one granule, all channels.
type granule struct {
	line  [2][lines]float32
	used  [2]int // lines from here on are zero
	block [2]int
	mixed [2]bool
}

// frame is all that is needed to decode one frame's spectra.
type frame struct {
	header Header
	side   sideInfo
	data   []byte // main data of this frame's granules, and bitPad bytes
	size   int    // bits of data; -1 when the reservoir lacked some: a silent frame
}

// spectra decodes the granules of the frame into dst.
func (f *frame) spectra(dst []granule) {
	b := &bits{buf: f.data}
	var factors [2][2]scaleFactors
	for gr := range f.header.granules() {
		g := &dst[gr]
		for ch := range f.header.Channels {
			c := &f.side.info[gr][ch]
			g.block[ch], g.mixed[ch] = c.block, c.mixed
			if f.size < 0 {
				g.silence(ch)
				continue
			}
			// The next channel begins where part2_3_length says, wherever the codes ended.
			end := b.pos + c.length
			f.channel(g, gr, ch, b, end, &factors)
			b.pos = end
		}
		if f.header.Channels == 2 && f.size >= 0 {
			g.stereo(&f.header, &f.side.info[gr], &factors[gr][1])
		}
		for ch := range f.header.Channels {
			g.reorder(ch, f.side.info[gr][ch].layout(f.header))
		}
	}
}

func (g *granule) silence(ch int) {
	g.line[ch] = [lines]float32{}
	g.used[ch] = 0
}

// channel reads the scale factors and codes of one channel, up to bit end.
func (f *frame) channel(g *granule, gr, ch int, b *bits, end int, factors *[2][2]scaleFactors) {
	c := &f.side.info[gr][ch]
	l := c.layout(f.header)
	s := &factors[gr][ch]
	if f.header.Version == MPEG1 {
		var first *scaleFactors
		if gr == 1 {
			first = &factors[0][ch]
		}
		s.readMPEG1(b, c, l, &f.side.scfsi[ch], first)
	} else {
		s.readMPEG2(b, c, ch == 1 && f.header.is)
	}
	if end > f.size || b.pos > end {
		g.silence(ch) // damaged: the lengths do not fit
		return
	}
	var gain [maxBands]float32
	s.gains(&gain, c, l, f.header.ms)
	g.used[ch] = g.codes(&g.line[ch], b, end, c, l, &gain)
}

// codes reads the Huffman codes of one channel: pairs up to bigValues, then
// quadruples to the end. It returns the line from which on all are zero.
//
//	0          regions[0]      regions[1]     bigValues        …           576
//	│ table 0  │ table 1       │ table 2      │ quads: 0, ±1   │ 0           │
//	│  pairs of values up to 15, and more by linbits
//
// Bands, which have a gain each, cut this line at other places, so both are followed at
// once: band is always the one that line i lies in, and ends before bandEnd. Lines come
// out scaled. Bits may run out at any place, in files that are whole too (the last
// quadruple may reach past the end, and is then stuffing); what is not reached is 0.
func (g *granule) codes(x *[lines]float32, b *bits, end int, c *channelInfo, l *layout, gain *[maxBands]float32) int {
	i, band, bandEnd := 0, 0, l.width[0]
	bounds := [3]int{min(c.regions[0], c.bigValues), min(c.regions[1], c.bigValues), c.bigValues}
	for region, stop := range bounds {
		for i < stop && b.pos <= end {
			for i >= bandEnd && band < l.n-1 {
				band++
				bandEnd += l.width[band]
			}
			to := min(stop, bandEnd)
			pairs(x[i:to], b, end, c.tables[region], gain[band])
			i = to
		}
	}
	for i < lines-3 && b.pos < end && i >= c.bigValues {
		w := b.window()
		n, v := quads[c.quadTable].find(w)
		w <<= n
		start := b.pos
		b.pos += n
		for k := range 4 {
			for i+k >= bandEnd && band < l.n-1 {
				band++
				bandEnd += l.width[band]
			}
			x[i+k] = 0
			if v>>(3-k)&1 != 0 {
				x[i+k] = signed(gain[band], w)
				w <<= 1
				b.pos++
			}
		}
		if b.pos > end { // stuffing, not a code
			b.pos = start
			break
		}
		i += 4
	}
	clear(x[i:])
	for i > 0 && x[i-1] == 0 {
		i--
	}
	return i
}

// signed gives v the sign that the highest bit of w tells.
func signed(v float32, w uint64) float32 {
	return math.Float32frombits(math.Float32bits(v) ^ uint32(w>>32)&(1<<31))
}

// pairs reads len(x)/2 pairs of values of one table and band. Past bit end it
// writes zeros.
//
// A pair in the order of its bits: the word; for a first value of 15 linbits more; its
// sign, unless it is 0; the same for the second. That is at most 19+13+1+13+1 bits, which
// one window holds. The mask cannot change a value: it only spares the check of bounds.
func pairs(x []float32, b *bits, end int, table int, gain float32) {
	t, more := pairCodes[table], int(linbits[table])
	if t == nil { // table 0; 4 and 14 hold nothing
		clear(x)
		return
	}
	for i := 0; i+1 < len(x); i += 2 {
		w := b.window()
		if b.pos > end {
			clear(x[i:])
			return
		}
		n, v := t.find(w)
		w <<= n
		first, second := v>>4, v&15
		if first == 15 && more > 0 {
			first += uint32(w >> (64 - more))
			w <<= more
			n += more
		}
		var p, q float32
		if first != 0 {
			p = signed(fourThirds[first&(1<<14-1)]*gain, w)
			w <<= 1
			n++
		}
		if second == 15 && more > 0 {
			second += uint32(w >> (64 - more))
			w <<= more
			n += more
		}
		if second != 0 {
			q = signed(fourThirds[second&(1<<14-1)]*gain, w)
			n++
		}
		x[i], x[i+1] = p, q
		b.pos += n
	}
}

// reorder brings the lines of short blocks from band, window, frequency to
// frequency, window: the order that the short transforms read (2.4.3.4.8).
func (g *granule) reorder(ch int, l *layout) {
	if l.long == l.n || g.used[ch] == 0 {
		return
	}
	var sorted [lines]float32
	x := &g.line[ch]
	start := 0
	for _, w := range l.width[:l.long] {
		start += w
	}
	at := start
	for band := l.long; band+2 < l.n; band += 3 {
		w := l.width[band]
		for k := range w {
			sorted[at+3*k] = x[at+k]
			sorted[at+3*k+1] = x[at+w+k]
			sorted[at+3*k+2] = x[at+2*w+k]
		}
		at += 3 * w
		if start < g.used[ch] && at >= g.used[ch] {
			break
		}
	}
	copy(x[start:at], sorted[start:at])
	g.used[ch] = max(min(at, lines), 0)
}
