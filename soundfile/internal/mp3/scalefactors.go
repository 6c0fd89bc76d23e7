package mp3

// compressSizes are the bits of scale factors in the lower and upper bands by
// scalefac_compress (2.4.2.7, slen1 and slen2).
var compressSizes = [16][2]int{
	{0, 0}, {0, 1}, {0, 2}, {0, 3}, {3, 0}, {1, 1}, {1, 2}, {1, 3},
	{2, 1}, {2, 2}, {2, 3}, {3, 1}, {3, 2}, {3, 3}, {4, 2}, {4, 3},
}

// scaleFactors are those of one channel and granule, in the order of a layout. Each says
// how far its band is turned down, in steps of 2^(-1/2) or 2^-1.
type scaleFactors struct {
	value   [maxBands]uint8
	illegal [maxBands]bool // no intensity position (13818-3, 2.4.3.2)
}

// readMPEG1 reads them by 2.4.2.7; those that scfsi shares come from first.
func (s *scaleFactors) readMPEG1(b *bits, c *channelInfo, l *layout, shared *[4]bool, first *scaleFactors) {
	size := compressSizes[c.compress]
	if c.block != shortBlock {
		groups := [4]int{6, 11, 16, 21} // where each group of bands ends
		band := 0
		for g, end := range groups {
			for ; band < end; band++ {
				if shared[g] && first != nil {
					s.value[band] = first.value[band]
				} else {
					s.value[band] = uint8(b.take(size[g/2]))
				}
			}
		}
		return
	}
	// Short blocks take size[0] up to short band 5 and size[1] from there on. They never share
	// with the first granule.
	low := l.long + 18 // six short bands, of which a mixed block lacks three
	if c.mixed {
		low -= 9
	}
	for band := range l.n - 3 { // the last band has none
		if band < low {
			s.value[band] = uint8(b.take(size[0]))
		} else {
			s.value[band] = uint8(b.take(size[1]))
		}
	}
}

// partitions are the bands of each of four sizes, by how scalefac_compress
// splits and by layout (13818-3, table in 2.4.3.2).
var partitions = [6][3][4]int{
	{{6, 5, 5, 5}, {9, 9, 9, 9}, {6, 9, 9, 9}},
	{{6, 5, 7, 3}, {9, 9, 12, 6}, {6, 9, 12, 6}},
	{{11, 10, 0, 0}, {18, 18, 0, 0}, {15, 18, 0, 0}},
	{{7, 7, 7, 0}, {12, 12, 12, 0}, {6, 15, 12, 0}},
	{{6, 6, 6, 3}, {12, 9, 9, 6}, {6, 12, 9, 6}},
	{{8, 8, 5, 0}, {15, 12, 9, 0}, {6, 18, 9, 0}},
}

// splitCompress returns the four sizes and the row of partitions for the scale
// factors of MPEG-2 (13818-3, 2.4.3.2); right is the right channel under intensity
// coding, whose lowest bit is intensity_scale. The nine bits are one number that holds
// the sizes as mixed digits: up to 399 there are 5·5·4·4 choices, then 5·5·4, then 3·n.
func splitCompress(v int, right bool) (size [4]int, row int) {
	if right {
		v >>= 1
		switch {
		case v < 180:
			return [4]int{v / 36, v % 36 / 6, v % 6, 0}, 3
		case v < 244:
			v -= 180
			return [4]int{v % 64 >> 4, v % 16 >> 2, v % 4, 0}, 4
		}
		v -= 244
		return [4]int{v / 3, v % 3, 0, 0}, 5
	}
	switch {
	case v < 400:
		return [4]int{v >> 4 / 5, v >> 4 % 5, v % 16 >> 2, v % 4}, 0
	case v < 500:
		v -= 400
		return [4]int{v >> 2 / 5, v >> 2 % 5, v % 4, 0}, 1
	}
	v -= 500
	return [4]int{v / 3, v % 3, 0, 0}, 2
}

// readMPEG2 reads them by 13818-3, 2.4.3.2: four runs of bands, each of a size of its
// own. Under intensity coding the greatest number of a size is no position but says that
// the band is not coded so.
func (s *scaleFactors) readMPEG2(b *bits, c *channelInfo, right bool) {
	size, row := splitCompress(c.compress, right)
	kind := 0
	if c.block == shortBlock {
		kind = 1
		if c.mixed {
			kind = 2
		}
	}
	band := 0
	for part, n := range partitions[row][kind] {
		for range n {
			v := b.take(size[part])
			s.value[band] = uint8(v)
			s.illegal[band] = right && size[part] > 0 && v == 1<<size[part]-1
			band++
		}
	}
}

// pretab is added to the scale factors of long bands under preflag (table B.6).
var pretab = [22]uint8{11: 1, 1, 1, 1, 2, 2, 3, 3, 3, 2}

// gains sets the factor of each band: 2 to the power of
//
//	(global_gain - 210 - 8·subblock_gain)/4 - (1 + scalefac_scale)/2·(factor + pretab)
//
// (2.4.3.4.7.1), times 1/√2 in mid/side frames, which their matrix needs.
func (s *scaleFactors) gains(dst *[maxBands]float32, c *channelInfo, l *layout, ms bool) {
	base := c.globalGain - 210
	if ms {
		base -= 2
	}
	step := 2 * (1 + c.scale)
	for i := range l.n {
		e := base - step*int(s.value[i])
		switch {
		case i >= l.long:
			e -= 8 * c.subblockGain[(i-l.long)%3]
		case c.preflag:
			e -= step * int(pretab[i])
		}
		dst[i] = quarterPower(e)
	}
}
