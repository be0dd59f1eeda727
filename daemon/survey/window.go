package survey

import (
	"slices"
	"time"
)

// The bounds of what is kept of blobs in each step.
const (
	mostWindow      = 80   // blobs; of more, every second
	mostWindowBytes = 8192 // in all of them
	mostCourses     = 256  // values that are followed each by itself
)

// window is the blobs that came while nothing was moved. How they are laid out may show in a
// later step only, so they are kept as they were.
type window struct {
	data [][]byte
	as   map[form][]course
}

// window is the blobs that came since a time.
func (b *blobs) window(since time.Duration) *window {
	if b == nil {
		return nil
	}
	w := &window{as: map[form][]course{}}
	n := 0
	for n < b.recent.len() && b.recent.back(n).at >= since {
		n++
	}
	every := 1
	for n > 0 && (n/every > mostWindow || n/every*len(b.recent.back(0).data) > mostWindowBytes) {
		every *= 2
	}
	for i := n - 1; i >= 0; i-- {
		if i%every == 0 {
			w.data = append(w.data, slices.Clone(b.recent.back(i).data))
		}
	}
	return w
}

// courses are those of the values, read in a form.
func (w *window) courses(f form) []course {
	all, ok := w.as[f]
	if ok {
		return all
	}
	for k := range min(f.n, mostCourses) {
		var values []float64
		for _, data := range w.data {
			if f.skip+(k+1)*f.layout.Size() <= len(data) {
				values = append(values, f.at(data, k))
			}
		}
		all = append(all, courseOf(values))
	}
	w.as[f] = all
	return all
}
