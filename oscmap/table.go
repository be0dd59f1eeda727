package oscmap

import "hash/maphash"

// table finds the node of an address without a pattern. It is a hash of
// whole addresses with the indices already written out: one look costs the
// same however many addresses there are, and nothing needs to be parsed. A Go map
// takes a tenth to a sixth longer for a whole message.
type table struct {
	seed  maphash.Seed
	slots []slot // a power of two, at most half full
	mask  uint64
}

type slot struct {
	hash    uint64
	address string // empty in an empty slot
	routes  []route
}

func newTable(addresses map[string]*node) table {
	size := 8
	for size < 2*len(addresses) {
		size *= 2
	}
	t := table{maphash.MakeSeed(), make([]slot, size), uint64(size - 1)}
	for address, n := range addresses {
		hash := maphash.String(t.seed, address)
		i := hash & t.mask
		for t.slots[i].address != "" {
			i = (i + 1) & t.mask
		}
		t.slots[i] = slot{hash, address, n.routes}
	}
	return t
}

// order is what a listener remembers of the order in which addresses come: a desk that
// tells its levels tells them in the same order each time, so behind which address this one
// came last is asked before the hash of it is made.
type order struct {
	next []uint32 // the slot that was found behind each
	at   uint64   // the slot that was found last
}

func (t *table) order() order { return order{next: make([]uint32, len(t.slots))} }

func (t *table) find(address []byte, o *order) []route {
	if guess := uint64(o.next[o.at]); t.slots[guess].address == string(address) {
		o.at = guess
		return t.slots[guess].routes
	}
	hash := maphash.Bytes(t.seed, address)
	for i := hash & t.mask; ; i = (i + 1) & t.mask {
		s := &t.slots[i]
		if s.address == "" {
			return nil
		}
		if s.hash == hash && s.address == string(address) {
			o.next[o.at], o.at = uint32(i), i
			return s.routes
		}
	}
}
