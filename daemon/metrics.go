package daemon

import (
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"pawl/daemon/link"
	"pawl/rules"
)

// tally is the daemon's own registry of metrics. Most figures are read from the
// session's newest picture when they are asked for; findings and presses are counted,
// and the loop's times taken, as they happen.
//
// No label has a value that came from the desk or from a page: whoever can reach a port
// could otherwise fill the memory of whoever keeps the metrics.
type tally struct {
	daemon   *Daemon
	registry *prometheus.Registry
	findings *prometheus.CounterVec
	heldBack *prometheus.CounterVec
	presses  prometheus.Counter
	refused  prometheus.Counter
	turns    prometheus.Histogram
	lag      prometheus.Histogram
}

// loopTimes are the bounds of the loop's times, in seconds: packets gather for 5 ms, a
// page's beat is 100 ms, and from a second on an operator would notice.
var loopTimes = []float64{0.0001, 0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5}

func newTally(d *Daemon) *tally {
	t := &tally{
		daemon: d, registry: prometheus.NewRegistry(),
		findings: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "pawl_findings_total", Help: "Findings that opened, by rule and the weight they opened with.",
		}, []string{"rule", "weight"}),
		heldBack: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "pawl_findings_held_back_total", Help: "Findings that opened and were kept from the operator's screen.",
		}, []string{"rule"}),
		presses: prometheus.NewCounter(prometheus.CounterOpts{
			Name: "pawl_presses_total", Help: "Presses that came to the loop, the refused ones too.",
		}),
		refused: prometheus.NewCounter(prometheus.CounterOpts{
			Name: "pawl_presses_refused_total", Help: "Presses that the loop refused: too many at once, or about what was not there.",
		}),
		turns: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name: "pawl_loop_turn_seconds", Help: "How long the loop took, each time it woke, until it waited again.", Buckets: loopTimes,
		}),
		lag: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name: "pawl_packet_lag_seconds", Help: "From a packet's arrival until it was judged, of the packet that waited longest in each turn of the loop.", Buckets: loopTimes,
		}),
	}
	for _, k := range rules.Kinds {
		t.heldBack.WithLabelValues(k.Name)
		for w := rules.Whisper; w <= rules.Now; w++ {
			t.findings.WithLabelValues(k.Name, w.String())
		}
	}
	t.registry.MustRegister(t, t.findings, t.heldBack, t.presses, t.refused, t.turns, t.lag, collectors.NewGoCollector(),
		collectors.NewBuildInfoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return t
}

func (t *tally) handler() http.Handler {
	return promhttp.HandlerFor(t.registry, promhttp.HandlerOpts{EnableOpenMetrics: true})
}

func (t *tally) entry(e rules.Entry) {
	f, ok := e.(*rules.Finding)
	if !ok || f.State != rules.Open {
		return
	}
	t.findings.WithLabelValues(f.Rule, f.Weight.String()).Inc()
	if !f.Shown {
		t.heldBack.WithLabelValues(f.Rule).Inc()
	}
}

func (t *tally) press(err error) {
	t.presses.Inc()
	if err != nil {
		t.refused.Inc()
	}
}

// judged takes the lag of packets that have just been judged, oldest first: that of the
// one that waited longest. To take each one's made a turn a seventh slower.
func (t *tally) judged(packets []link.Packet, c link.Clock) {
	if len(packets) > 0 {
		t.lag.Observe(c.Real(c.Now() - packets[0].At).Seconds())
	}
}

// turned takes the time of a turn of the loop that began at a time.
func (t *tally) turned(began time.Time) { t.turns.Observe(time.Since(began).Seconds()) }
