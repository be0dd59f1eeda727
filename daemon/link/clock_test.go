package link

import (
	"testing"
	"testing/synctest"
	"time"
)

func TestClock(t *testing.T) {
	tests := []struct {
		name    string
		speed   float64
		wall    time.Duration // passes on the wall
		now     time.Duration // has passed for the daemon
		realOf8 time.Duration // what 8 s of daemon time take on the wall
	}{
		{"zero means one", 0, 3 * time.Second, 3 * time.Second, 8 * time.Second},
		{"one", 1, time.Hour + 1, time.Hour + 1, 8 * time.Second},
		{"four", 4, 3 * time.Second, 12 * time.Second, 2 * time.Second},
		{"half", 0.5, 3 * time.Second, 1500 * time.Millisecond, 16 * time.Second},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				c := Clock{Started: time.Now(), Speed: tt.speed}
				<-time.After(tt.wall)
				if got := c.Now(); got != tt.now {
					t.Errorf("Now %v, want %v", got, tt.now)
				}
				if got := c.Real(8 * time.Second); got != tt.realOf8 {
					t.Errorf("Real(8s) %v, want %v", got, tt.realOf8)
				}
				if got, want := c.Wall(time.Minute), c.Started.Add(time.Minute); !got.Equal(want) {
					t.Errorf("Wall %v, want %v", got, want)
				}
			})
		})
	}
}
