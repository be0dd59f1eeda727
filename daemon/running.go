package daemon

import (
	"context"
	"sync"

	"pawl/daemon/link"
)

// running is a link with the goroutine that runs it.
type running struct {
	*link.Link
	ended chan struct{} // closed when the link has ended
	err   error         // why; read it after ended is closed
	stop  func()        // ends the link and waits for it; may be called again
}

func run(ctx context.Context, l *link.Link) *running {
	ctx, cancel := context.WithCancel(ctx)
	r := &running{Link: l, ended: make(chan struct{})}
	var wait sync.WaitGroup
	wait.Go(func() {
		defer close(r.ended)
		r.err = l.Run(ctx)
	})
	r.stop = func() {
		cancel()
		wait.Wait()
	}
	return r
}

// sameLink reports whether another house hears the same desk in the same way, so
// that the link may run on and what is known of the desk stays true.
func (h *House) sameLink(o *House) bool {
	return h.Desk == o.Desk && h.Listen == o.Listen && h.AnyPort == o.AnyPort && h.mapText == o.mapText
}
