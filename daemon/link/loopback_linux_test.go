package link

import (
	"runtime"
	"sync"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

const (
	perSecond = 20_000
	seconds   = 10
	packetLen = 400 // bytes: a packet of a desk's meters
)

// BenchmarkLoopback sends 20,000 packets a second for 10 s over the loopback
// interface and reports how many were kept and what receiving them cost. The
// sender's own thread is not counted. Run it alone:
//
//	go test ./daemon/link -run '^$' -bench Loopback -benchtime 1x
func BenchmarkLoopback(b *testing.B) {
	for range b.N {
		loopback(b)
	}
}

func loopback(b *testing.B) {
	conn, at := practice(b)
	l, stop := running(b, Options{Desk: at.String()})
	eventuallyAsks(b, l, at)
	to := here(l)

	var own sync.WaitGroup
	sent := make(chan time.Duration) // the sender's CPU, once it has sent all
	own.Go(func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		packet, before := make([]byte, packetLen), cpu(b, unix.RUSAGE_THREAD)
		beat := time.NewTicker(time.Millisecond)
		defer beat.Stop()
		start := time.Now()
		for n := 0; n < perSecond*seconds; {
			<-beat.C
			for due := min(int(time.Since(start)*perSecond/time.Second), perSecond*seconds); n < due; n++ {
				if _, err := conn.WriteToUDPAddrPort(packet, to); err != nil {
					b.Error(err)
				}
			}
		}
		sent <- cpu(b, unix.RUSAGE_THREAD) - before
	})

	before, started := cpu(b, unix.RUSAGE_SELF), time.Now()
	var mem0, mem1 runtime.MemStats
	runtime.ReadMemStats(&mem0)
	kept, sender, taken := 0, time.Duration(0), []Packet(nil)
	for end := (<-chan time.Time)(nil); ; {
		select {
		case <-l.Ready():
			taken = l.Take(taken[:0])
			kept += len(taken)
			continue
		case sender = <-sent:
			end = time.After(time.Second / 4) // what is still on its way
			continue
		case <-end:
		}
		break
	}
	used, wall := cpu(b, unix.RUSAGE_SELF)-before-sender, time.Since(started)
	runtime.ReadMemStats(&mem1)
	own.Wait()
	st := l.Status()
	stop()

	b.ReportMetric(100*float64(kept)/(perSecond*seconds), "%kept")
	b.ReportMetric(float64(perSecond*seconds-kept), "lost")
	b.ReportMetric(float64(st.KernelDropped+st.Dropped), "counted-lost")
	b.ReportMetric(float64(used)/float64(kept), "cpu-ns/packet")
	b.ReportMetric(100*float64(used)/float64(wall), "%core")
	b.ReportMetric(float64(mem1.Mallocs-mem0.Mallocs)/float64(kept), "mallocs/packet")
	b.ReportMetric(float64(st.ReadBuffer)/(1<<20), "MiB-buffer")
	b.ReportMetric(0, "ns/op")
}

// cpu is what a thread, or the process, has used of the processor.
func cpu(b *testing.B, who int) time.Duration {
	var u unix.Rusage
	if err := unix.Getrusage(who, &u); err != nil {
		b.Error(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkHear is what a packet costs beside the system call: to be believed,
// stamped, queued and taken.
func BenchmarkHear(b *testing.B) {
	l, err := prepare(Options{Desk: "192.0.2.10:10700", Clock: Clock{Started: time.Now()}})
	if err != nil {
		b.Fatal(err)
	}
	l.believe = append(l.believe, desk.Addr())
	data, taken := make([]byte, packetLen), []Packet(nil)
	b.ReportAllocs()
	for n := 0; b.Loop(); n++ {
		l.receive(l.clock.Now(), desk, data)
		if n%16 == 0 {
			taken = l.Take(taken[:0])
		}
	}
}
