package room

// block is a box of the room, from one corner to the opposite one.
type block struct{ low, high vec }

// corners are the ends of the box's diagonal; boxes stand along the room's axes.
func (b *Box) corners() (low, high vec) {
	c, s := b.Centre.vec(), b.Size.vec()
	return c.minus(s.times(.5)), c.plus(s.times(.5))
}

// holds tells whether p is inside the box, not only on its face.
func (b *Box) holds(p vec) bool {
	low, high := b.corners()
	return (&block{low, high}).holds(p)
}

// holds leaves out a skin of slack, so that things that only touch the box stand outside.
func (b *block) holds(p vec) bool {
	for i := range p {
		if p[i] <= b.low[i]+slack || p[i] >= b.high[i]-slack {
			return false
		}
	}
	return true
}

// skin, 1 mm, is how close to the eye a ray's hit does not count: what the eye is on.
const skin = .001
