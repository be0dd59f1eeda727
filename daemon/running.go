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
