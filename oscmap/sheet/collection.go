package sheet

// Map is a mapping whose keys the person chose, in the order of the file. Keys
// are strings or integers. A Map with integer keys may also be written as a
// list, whose items then are 1, 2, 3 and so on.
type Map[K comparable, V any] []Entry[K, V]

// Entry is one key and its value. Place is that of the key.
type Entry[K comparable, V any] struct {
	Key   K
	Place Place
	Value V
}

// Get finds the value of a key.
func (m Map[K, V]) Get(key K) (V, bool) {
	for _, e := range m {
		if e.Key == key {
			return e.Value, true
		}
	}
	var none V
	return none, false
}

// grow adds an entry and points to its parts.
func (m *Map[K, V]) grow() (key any, place *Place, value any) {
	*m = append(*m, Entry[K, V]{})
	e := &(*m)[len(*m)-1]
	return &e.Key, &e.Place, &e.Value
}

type growing interface {
	grow() (key any, place *Place, value any)
}

// Some is one value, or a list of them.
type Some[T any] []T

func (*Some[T]) oneWillDo() {}

type lenient interface{ oneWillDo() }
