package daemon

import (
	"context"
	"errors"
	"fmt"

	"pawl/daemon/capture"
	"pawl/daemon/store"
	"pawl/dashboard"
	"pawl/oscmap/sheet"
	"pawl/rules"
)

// errCaptureGone is told of a capture that was deleted, or moved.
var errCaptureGone = rules.Refuse("refused.capture-gone")

// otherwise judges a recorded service by other limits, for a page. One at a time: what
// watches has the rest of the machine.
func (d *Daemon) otherwise(ctx context.Context, service int64, limits []byte) (dashboard.Compared, error) {
	if d.options.Record == "" {
		return dashboard.Compared{}, dashboard.ErrNoService
	}
	if !d.again.TryLock() {
		return dashboard.Compared{}, dashboard.ErrOneAtATime
	}
	defer d.again.Unlock()
	out, err := Rejudge{Record: d.options.Record, Limits: limits, Name: "limits"}.Run(ctx, service)
	var faults sheet.Faults
	switch {
	case errors.Is(err, store.ErrNoService):
		return dashboard.Compared{}, dashboard.ErrNoService
	case errors.Is(err, ErrNoCapture):
		return dashboard.Compared{}, fmt.Errorf("%w: %w", err, dashboard.ErrNoCapture) // the first is what is told
	case errors.Is(err, capture.ErrGone):
		return dashboard.Compared{}, fmt.Errorf("%w: %w", errCaptureGone, dashboard.ErrNoCapture)
	case errors.As(err, &faults):
		return dashboard.Compared{}, dashboard.ErrLimits.Because(faults.Error())
	case err != nil:
		return dashboard.Compared{}, err
	}
	return dashboard.Compared{Comparison: out.Compare(), Notes: out.Notes}, nil
}
