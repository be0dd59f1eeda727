package dashboard

import (
	"bufio"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"golang.org/x/sys/unix"
)

const (
	tablets   = 50
	tabletsAt = "PAWL_TEST_TABLETS_AT" // the server that a process of tablets listens to
)

// TestTablets is no test by itself: it is the process of tablets of BenchmarkFiftyTablets.
// They read all that comes until the server ends, but for one, which reads nothing.
func TestTablets(t *testing.T) {
	at := os.Getenv(tabletsAt)
	if at == "" {
		t.Skip("is started by BenchmarkFiftyTablets")
	}
	var reading sync.WaitGroup
	for i := range tablets + 1 {
		conn, _, err := websocket.DefaultDialer.Dial("ws://"+at+"/live", http.Header{"Origin": {"http://" + at}})
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		if i == tablets {
			break // frozen
		}
		reading.Go(func() {
			for {
				if _, _, err := conn.ReadMessage(); err != nil {
					return
				}
			}
		})
	}
	fmt.Println("all are here")
	reading.Wait()
}

// BenchmarkFiftyTablets is what fifty tablets cost the daemon's process, with one more that
// is frozen, at ten frames a second of a busy service; they themselves are another process.
func BenchmarkFiftyTablets(b *testing.B) {
	st := busyStory()
	s := serve(b, "127.0.0.1:0", Options{})
	s.Publish(st.now, st.entries, true)
	others := exec.Command(os.Args[0], "-test.run", "^TestTablets$")
	others.Env = append(os.Environ(), tabletsAt+"="+s.at)
	out, err := others.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := others.Start(); err != nil {
		b.Fatal(err)
	}
	defer func() { s.stop(); _ = others.Wait() }()
	for lines := bufio.NewScanner(out); lines.Scan() && !strings.Contains(lines.Text(), "all are here"); {
	}
	if got := s.Stats().Clients; got != tablets+1 {
		b.Fatalf("%d tablets came, want %d", got, tablets+1)
	}
	s.play(st, 1, 10)
	began, before := time.Now(), processor(b)
	beats := 0
	for b.Loop() {
		s.play(st, 11+beats, 10) // a second
		beats += 10
	}
	b.ReportMetric(100*(processor(b)-before).Seconds()/time.Since(began).Seconds(), "%core")
	b.ReportMetric(float64(s.Stats().Clients), "tablets")
	b.ReportMetric(float64(s.Stats().Dropped), "dropped")
}

// processor is how long this process has had a core.
func processor(tb testing.TB) time.Duration {
	tb.Helper()
	var used unix.Rusage
	if err := unix.Getrusage(unix.RUSAGE_SELF, &used); err != nil {
		tb.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
