package survey

// kinds is what is known of the words at one argument of an address, if they may say what a
// message is about. The zero value has seen none.
type kinds struct {
	n      uint64 // messages with one
	many   bool   // they are texts, and tell no kinds apart
	early  int    // of the different ones
	shared int    // of the different ones, how many came with several numbers
	seen   map[string]worded
	mixed  bool // one came with several types beside it

	of      map[int]ofNumber // by number, up to maxFirsts of them
	crossed int              // numbers that came with several words
}

// ofNumber is what came with a number first, and whether another word did later.
type ofNumber struct {
	word    string
	several bool
}

// worded is what came with a word first: a number, and the types of the message.
type worded struct {
	number  int
	several bool // numbers
	tags    string
}

// note notes a word, and reports false once there are too many.
func (w *kinds) note(word []byte, number int, tags []byte, at int, early bool) bool {
	w.n++
	if w.many {
		return true
	}
	w.number(word, number)
	with, had := w.seen[string(word)]
	switch {
	case had:
		if with.number != number && !with.several {
			with.several = true
			w.seen[string(word)] = with
			w.shared++
		}
		w.mixed = w.mixed || !sameRest(with.tags, tags, at)
	case len(w.seen) == maxWords:
		w.many, w.seen, w.of = true, nil, nil
		return false
	case w.seen == nil:
		w.seen = map[string]worded{}
		fallthrough
	default:
		w.seen[string(word)] = worded{number: number, tags: string(tags)}
		if early {
			w.early++
		}
	}
	return true
}

// number notes which words come with a number.
func (w *kinds) number(word []byte, number int) {
	first, had := w.of[number]
	switch {
	case number < 0:
	case had && !first.several && first.word != string(word):
		first.several = true
		w.of[number] = first
		w.crossed++
	case !had && len(w.of) < maxFirsts:
		if w.of == nil {
			w.of = map[int]ofNumber{}
		}
		w.of[number] = ofNumber{word: string(word)}
	}
}

// ofSeveral reports whether the words say what it is about that a number tells apart: most come
// with several numbers, or most numbers with several words. Names mostly have a number each,
// and numbers one name.
func (w *kinds) ofSeveral() bool {
	return w.shared > 0 && (2*w.shared >= len(w.seen) || 2*w.crossed >= len(w.of))
}

// decides reports whether each word has types of its own beside it, and not all the same: such
// a word says what the message is about, wherever it stands. A state that is said in words has
// always the same beside it.
func (w *kinds) decides(at int) bool {
	var first *worded
	for _, with := range w.seen {
		if first != nil && !w.mixed && !sameRest(first.tags, []byte(with.tags), at) {
			return true
		}
		first = &with
	}
	return false
}

// mayTell reports whether every message so far had a word at an argument, and not too many
// different ones.
func (a *addressed) mayTell(at int) bool {
	w := &a.words[at]
	return !w.many && w.n == a.all.count
}

// wordAt is the argument whose word says what a message is about, -1 if none does. One that
// decides what else the message has goes before all others; else it is the first, and never
// the last of a message, where a value stands.
func (a *addressed) wordAt(counted bool) int {
	first := -1
	for at := range a.words {
		switch w := &a.words[at]; {
		case w.n == 0 || !a.mayTell(at):
		case w.decides(at) && (!counted || w.ofSeveral()):
			return at
		case first < 0:
			first = at
		}
	}
	if first >= 0 && first+1 < a.least {
		if w := &a.words[first]; counted && w.ofSeveral() || !counted && w.early >= 2 {
			return first
		}
	}
	return -1
}

// sameRest reports whether two messages have the same types but for one argument.
func sameRest(a string, b []byte, at int) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range b {
		if i != at && a[i] != b[i] && !(isBool(a[i]) && isBool(b[i])) {
			return false
		}
	}
	return true
}

func isBool(tag byte) bool { return tag == 'T' || tag == 'F' }
