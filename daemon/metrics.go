package daemon

import (
	"net/http"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"pawl/daemon/link"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
)

// tally is the daemon's own registry of metrics. Most figures are read from the
// session's newest picture when they are asked for; findings are counted as they
// are said.
type tally struct {
	daemon   *Daemon
	registry *prometheus.Registry
	findings *prometheus.CounterVec
	heldBack *prometheus.CounterVec
}

func newTally(d *Daemon) *tally {
	t := &tally{
		daemon: d, registry: prometheus.NewRegistry(),
		findings: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "pawl_findings_total", Help: "Findings that opened, by rule and the weight they opened with.",
		}, []string{"rule", "weight"}),
		heldBack: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "pawl_findings_held_back_total", Help: "Findings that opened and were kept from the operator's screen.",
		}, []string{"rule"}),
	}
	for _, k := range rules.Kinds {
		t.heldBack.WithLabelValues(k.Name)
		for w := rules.Whisper; w <= rules.Now; w++ {
			t.findings.WithLabelValues(k.Name, w.String())
		}
	}
	t.registry.MustRegister(t, t.findings, t.heldBack, collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
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

// metric is one line of the table below: a figure without labels.
type metric struct {
	desc *prometheus.Desc
	kind prometheus.ValueType
	read func(*figures) float64
}

func counter(name, help string, read func(*figures) float64) metric {
	return metric{prometheus.NewDesc(name, help, nil, nil), prometheus.CounterValue, read}
}

func gauge(name, help string, read func(*figures) float64) metric {
	return metric{prometheus.NewDesc(name, help, nil, nil), prometheus.GaugeValue, read}
}

var plainMetrics = []metric{
	counter("pawl_packets_total", "Packets from the desk.", func(f *figures) float64 { return float64(f.link.Packets) }),
	counter("pawl_packet_bytes_total", "Bytes of the packets from the desk.", func(f *figures) float64 { return float64(f.link.Bytes) }),
	counter("pawl_packets_dropped_total", "Packets from the desk that waited too long and made room.", func(f *figures) float64 { return float64(f.link.Dropped) }),
	counter("pawl_packets_lost_in_kernel_total", "Datagrams that the system dropped because its receive buffer was full.", func(f *figures) float64 { return float64(f.link.KernelDropped) }),
	counter("pawl_asks_failed_total", "Asks that could not be sent.", func(f *figures) float64 { return float64(f.link.AskFailed) }),
	counter("pawl_frames_bad_total", "Frames of a stream from the desk that broke its framing.", func(f *figures) float64 { return float64(f.link.BadFrames) }),
	counter("pawl_packets_from_strangers_total", "Packets from other senders than the desk, left aside.", func(f *figures) float64 { return float64(f.link.Strangers) }),
	counter("pawl_messages_total", "OSC messages in the packets from the desk.", func(f *figures) float64 { return float64(f.messages) }),
	counter("pawl_messages_unmapped_total", "OSC messages that no signal of the map hears.", func(f *figures) float64 { return float64(f.unmapped) }),
	counter("pawl_asks_total", "Asks sent to the desk.", func(f *figures) float64 { return float64(f.link.Asked) }),
	counter("pawl_desk_quiet_total", "Times the desk went quiet.", func(f *figures) float64 { return float64(f.link.WentQuiet) }),
	counter("pawl_capture_packets_total", "Packets written to the capture.", func(f *figures) float64 { return float64(f.capture.Written) }),
	counter("pawl_capture_packets_missing_total", "Packets that are missing from the capture because it could not be written.", func(f *figures) float64 { return float64(f.capture.Dropped + f.capture.Refused) }),
	gauge("pawl_capture_ok", "1 while the capture can be written or there is none, 0 while it cannot.", func(f *figures) float64 { return oneIf(f.capture.Fault == "") }),
	counter("pawl_record_rows_total", "Entries and seconds of levels that the record took.", func(f *figures) float64 { return float64(f.record.Written) }),
	counter("pawl_record_rows_missing_total", "Entries and seconds of levels that are missing from the record because it could not be written.", func(f *figures) float64 { return float64(f.record.Dropped + f.record.Refused) }),
	gauge("pawl_record_rows_waiting", "Entries and seconds of levels that wait to be written.", func(f *figures) float64 { return float64(f.record.Waiting) }),
	gauge("pawl_record_bytes", "Length of the record's file.", func(f *figures) float64 { return float64(f.record.Bytes) }),
	gauge("pawl_record_ok", "1 while the record can be written or there is none, 0 while it cannot.", func(f *figures) float64 { return oneIf(f.record.Fault == "") }),
	gauge("pawl_desk_heard", "1 while the desk is heard, 0 while waiting or quiet.", func(f *figures) float64 { return oneIf(f.link.Phase == link.Hearing) }),
	gauge("pawl_receive_buffer_bytes", "Receive buffer that the system granted the desk's socket.", func(f *figures) float64 { return float64(f.link.ReadBuffer) }),
	gauge("pawl_house_reload_ok", "1 if the house file in force is the newest one, 0 if a newer one has faults.", func(f *figures) float64 { return oneIf(f.reloadOK) }),
	gauge("pawl_main_level_decibels", "Modelled level at the main's output, dBFS, mean power over ten seconds.", func(f *figures) float64 { return float64(f.picture.Total) }),
}

// labelled are the figures with a label, and where to find them.
var (
	malformedDesc = prometheus.NewDesc("pawl_packets_malformed_total", "Packets or messages that broke the rules of OSC and were dropped.", []string{"reason"}, nil)
	refusedDesc   = prometheus.NewDesc("pawl_values_refused_total", "Values that were no number or of the wrong sort.", []string{"signal"}, nil)
	clampedDesc   = prometheus.NewDesc("pawl_values_clamped_total", "Values outside their signal's range, brought to its end.", []string{"signal"}, nil)
	riseDesc      = prometheus.NewDesc("pawl_rise_decibels", "Change of the total since the mark, by cause.", []string{"cause"}, nil)
	squeezeDesc   = prometheus.NewDesc("pawl_group_reduction_decibels", "Median gain reduction of a group over its last 20 s of playing.", []string{"group"}, nil)
	clientsDesc   = prometheus.NewDesc("pawl_page_clients", "Pages connected now.", nil, nil)
	slowDesc      = prometheus.NewDesc("pawl_page_clients_dropped_total", "Pages told to come back because they could not keep up.", nil, nil)
)

// Describe implements prometheus.Collector.
func (t *tally) Describe(to chan<- *prometheus.Desc) {
	for _, m := range plainMetrics {
		to <- m.desc
	}
	for _, d := range []*prometheus.Desc{malformedDesc, refusedDesc, clampedDesc, riseDesc, squeezeDesc, clientsDesc, slowDesc} {
		to <- d
	}
}

// Collect implements prometheus.Collector. Before the first picture of the
// session there is only the page to tell of.
func (t *tally) Collect(to chan<- prometheus.Metric) {
	stats := t.daemon.page.Stats()
	to <- prometheus.MustNewConstMetric(clientsDesc, prometheus.GaugeValue, float64(stats.Clients))
	to <- prometheus.MustNewConstMetric(slowDesc, prometheus.CounterValue, float64(stats.Dropped))
	f := t.daemon.figures.Load()
	if f == nil {
		return
	}
	for _, m := range plainMetrics {
		to <- prometheus.MustNewConstMetric(m.desc, m.kind, m.read(f))
	}
	for _, r := range wire.Reasons() {
		to <- prometheus.MustNewConstMetric(malformedDesc, prometheus.CounterValue, float64(f.malformed[r.String()]), r.String())
	}
	for _, s := range desk.Signals() {
		to <- prometheus.MustNewConstMetric(refusedDesc, prometheus.CounterValue, float64(f.refused[s.String()]), s.String())
		to <- prometheus.MustNewConstMetric(clampedDesc, prometheus.CounterValue, float64(f.clamped[s.String()]), s.String())
	}
	f.collectMix(to)
}

func (f *figures) collectMix(to chan<- prometheus.Metric) {
	split := f.picture.Split
	for cause, by := range map[string]desk.DB{
		"faders": split.Faders, "stage": split.Stage, "groups": split.Groups, "main": split.Main,
	} {
		to <- prometheus.MustNewConstMetric(riseDesc, prometheus.GaugeValue, float64(by), cause)
	}
	for _, g := range f.picture.Groups {
		if g.Known {
			to <- prometheus.MustNewConstMetric(squeezeDesc, prometheus.GaugeValue, float64(g.Median), g.Who.Name)
		}
	}
}

func oneIf(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
