package mp3

// lines is the number of frequency lines, and samples, of a granule and channel.
const lines = 576

// Block types (2.4.2.7).
const (
	longBlock = iota
	startBlock
	shortBlock
	stopBlock
)

// channelInfo is the side information of one channel in one granule (2.4.1.7).
type channelInfo struct {
	length       int // part2_3_length: bits of scale factors and Huffman codes
	bigValues    int // lines coded in pairs
	globalGain   int
	compress     int // scalefac_compress
	block        int // type
	mixed        bool
	tables       [3]int
	regions      [2]int // lines where the second and third table take over
	subblockGain [3]int
	preflag      bool
	scale        int // scalefac_scale, 0 or 1
	quadTable    int
}

// sideInfo is the side information of a frame.
type sideInfo struct {
	begin int        // main_data_begin: bytes back from this frame's main data
	scfsi [2][4]bool // scale factors of a band group are those of the first granule
	info  [2][2]channelInfo
}

// parseSideInfo reads the side information (2.4.1.7; 13818-3, 2.4.1.7). In order, with
// bits for MPEG-1 and for the others:
//
//	9, 8      main_data_begin
//	5 or 3    private bits, mono or stereo; 1 or 2 in the others
//	4, 0      for each channel: scfsi
//	59, 63    for each granule and channel: what channelInfo holds
func parseSideInfo(h Header, raw []byte) (s sideInfo) {
	var padded [32 + bitPad]byte
	copy(padded[:], raw)
	b := &bits{buf: padded[:]}
	private := 5 // private_bits, skipped
	switch {
	case h.Version == MPEG1:
		s.begin = int(b.take(9))
		if h.Channels == 2 {
			private = 3
		}
	default:
		s.begin = int(b.take(8))
		private = h.Channels
	}
	b.take(private)
	if h.Version == MPEG1 {
		for ch := range h.Channels {
			for i := range s.scfsi[ch] {
				s.scfsi[ch][i] = b.flag()
			}
		}
	}
	for gr := range h.granules() {
		for ch := range h.Channels {
			s.info[gr][ch].parse(h, b)
		}
	}
	return s
}

// parse reads one channel of one granule (2.4.1.7). The order is that of the bits; where MPEG 1
// and 2 differ, 2 has a wider scalefac_compress, and preflag follows from it.
func (c *channelInfo) parse(h Header, b *bits) {
	// big_values counts pairs, and may claim more than there are lines.
	c.length = int(b.take(12))
	c.bigValues = min(2*int(b.take(9)), lines)
	c.globalGain = int(b.take(8))
	if h.Version == MPEG1 {
		c.compress = int(b.take(4))
	} else {
		c.compress = int(b.take(9))
	}
	if b.flag() {
		c.parseSwitched(h, b)
	} else {
		c.parseLong(h, b)
	}
	if h.Version == MPEG1 {
		c.preflag = b.flag()
	} else {
		c.preflag = c.compress >= 500 // 13818-3, 2.4.3.2
	}
	c.scale = int(b.take(1))
	c.quadTable = int(b.take(1))
}

// parseSwitched reads the form for windows other than the normal one, whose
// regions are fixed: two of them, the first of 36 lines in short blocks and of eight long
// bands otherwise. Block type 0 is forbidden here and is decoded as a long block.
func (c *channelInfo) parseSwitched(h Header, b *bits) {
	c.block = int(b.take(2))
	c.mixed = b.flag()
	c.tables[0], c.tables[1] = int(b.take(5)), int(b.take(5))
	for i := range c.subblockGain {
		c.subblockGain[i] = int(b.take(3))
	}
	if c.block != shortBlock {
		c.mixed = false
		c.regions = [2]int{longStarts[h.band()][8], lines}
		return
	}
	c.regions = [2]int{36, lines}
	if h.Rate == 8000 { // whose short bands are twice as wide
		c.regions[0] = 72
	}
}

// parseLong reads the form for normal windows: three tables, and the number of bands,
// less one, of the first two regions.
func (c *channelInfo) parseLong(h Header, b *bits) {
	for i := range c.tables {
		c.tables[i] = int(b.take(5))
	}
	r0 := int(b.take(4)) + 1
	r1 := r0 + int(b.take(3)) + 1
	starts := &longStarts[h.band()]
	c.regions = [2]int{starts[r0], starts[min(r1, 22)]}
}
