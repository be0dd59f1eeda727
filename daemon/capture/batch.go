package capture

// batch keeps packets that wait, with their data end to end. Two of them take
// turns, so that waiting allocates nothing once they have grown. The zero value is
// empty.
type batch struct {
	packets []Packet // without Data, until each gives them
	ends    []int    // where each one's data ends
	data    []byte
	cost    int // of all
}

func (b *batch) add(p Packet, cost int) {
	b.data = append(b.data, p.Data...)
	b.ends = append(b.ends, len(b.data))
	p.Data = nil
	b.packets = append(b.packets, p)
	b.cost += cost
}

// each gives the packets in their order, until a loop over them is left.
func (b *batch) each(yield func(*Packet) bool) {
	start := 0
	for i, end := range b.ends {
		p := &b.packets[i]
		p.Data = b.data[start:end:end]
		if start = end; !yield(p) {
			return
		}
	}
}

// roomKept is the most room, in bytes, that is kept for the next time: what one
// long fault made necessary is given back.
const roomKept = 1 << 20

// emptied is b with its room and nothing in it.
func (b *batch) emptied() batch {
	if cap(b.data) > roomKept || cap(b.packets)*beside > roomKept {
		return batch{}
	}
	return batch{packets: b.packets[:0], ends: b.ends[:0], data: b.data[:0]}
}
