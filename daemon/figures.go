package daemon

import (
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"pawl/daemon/capture"
	"pawl/daemon/link"
	"pawl/daemon/store"
	"pawl/dashboard"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
)

// figures is a picture of the session for the metrics, never changed once made.
type figures struct {
	made      time.Time
	heard     time.Duration // when the desk was last heard, or since when it is waited for; the daemon's time
	link      link.Status
	capture   capture.Status
	record    store.Status
	picture   rules.Picture
	groups    []string // by the house file: what the desk calls them is nobody's label
	messages  uint64
	unmapped  uint64
	passed    uint64
	malformed map[string]uint64
	refused   map[string]uint64
	clamped   map[string]uint64
	reloadOK  bool
	linesOK   bool
}

func figuresOf(s *session, status link.Status, p rules.Picture) *figures {
	sum := s.heard.clone()
	sum.count(s.engine)
	return &figures{
		made: s.published, heard: max(s.since, status.LastHeard),
		link: status, capture: s.captured(), record: s.kept(), picture: p, groups: s.house.Roster.Groups,
		messages: sum.Messages, unmapped: sum.Unmapped, passed: sum.Passed, malformed: sum.Malformed,
		refused: sum.Refused, clamped: sum.Clamped, reloadOK: s.trouble.ID == "", linesOK: s.unprinted == "",
	}
}

// captured says how the capture goes; of none it is the zero value.
func (s *session) captured() capture.Status {
	if s.recorder == nil {
		return capture.Status{}
	}
	return s.recorder.Status()
}

// asked is what there is to tell when somebody asks.
type asked struct {
	*figures
	at     time.Time
	silent time.Duration // since the desk was heard
	page   dashboard.Stats
}

// since is the age of a moment, in seconds; 0 of none. Ages are told, and not the moments
// that Prometheus would rather have: a hall without internet has a clock that is wrong,
// and whoever asks has another.
func (a *asked) since(t time.Time) float64 {
	if t.IsZero() {
		return 0
	}
	return max(0, a.at.Sub(t).Seconds())
}

// metric is one line of the tables below: a figure without labels.
type metric struct {
	desc *prometheus.Desc
	kind prometheus.ValueType
	read func(*asked) float64
}

func counter(name, help string, read func(*asked) float64) metric {
	return metric{prometheus.NewDesc(name, help, nil, nil), prometheus.CounterValue, read}
}

func gauge(name, help string, read func(*asked) float64) metric {
	return metric{prometheus.NewDesc(name, help, nil, nil), prometheus.GaugeValue, read}
}

var sessionMetrics = []metric{
	gauge("pawl_desk_heard", "1 while the desk is heard, 0 while waiting or quiet.", func(a *asked) float64 { return oneIf(a.link.Phase == link.Hearing) }),
	gauge("pawl_desk_silence_seconds", "Age of the newest packet from the desk; if none has come, how long it is waited for.", func(a *asked) float64 { return max(0, a.silent.Seconds()) }),
	counter("pawl_desk_quiet_total", "Times the desk went quiet.", func(a *asked) float64 { return float64(a.link.WentQuiet) }),
	counter("pawl_desk_connections_total", "TCP connections made to the desk; none over UDP.", func(a *asked) float64 { return float64(a.link.Connects) }),
	counter("pawl_asks_total", "Asks sent to the desk.", func(a *asked) float64 { return float64(a.link.Asked) }),
	counter("pawl_asks_failed_total", "Asks that could not be sent.", func(a *asked) float64 { return float64(a.link.AskFailed) }),
	counter("pawl_packets_total", "Packets from the desk.", func(a *asked) float64 { return float64(a.link.Packets) }),
	counter("pawl_packet_bytes_total", "Bytes of the packets from the desk.", func(a *asked) float64 { return float64(a.link.Bytes) }),
	counter("pawl_packets_dropped_total", "Packets from the desk that waited too long and made room.", func(a *asked) float64 { return float64(a.link.Dropped) }),
	counter("pawl_packets_lost_in_kernel_total", "Datagrams that the system dropped because its receive buffer was full.", func(a *asked) float64 { return float64(a.link.KernelDropped) }),
	gauge("pawl_receive_buffer_bytes", "Receive buffer that the system granted the desk's socket.", func(a *asked) float64 { return float64(a.link.ReadBuffer) }),
	counter("pawl_packets_from_strangers_total", "Packets from other senders than the desk, left aside.", func(a *asked) float64 { return float64(a.link.Strangers) }),
	counter("pawl_frames_bad_total", "Frames of a stream from the desk that broke its framing.", func(a *asked) float64 { return float64(a.link.BadFrames) }),
	counter("pawl_messages_total", "OSC messages in the packets from the desk.", func(a *asked) float64 { return float64(a.messages) }),
	counter("pawl_messages_unmapped_total", "OSC messages that no signal of the map hears.", func(a *asked) float64 { return float64(a.unmapped) }),
	counter("pawl_patterns_passed_over_total", "Messages to a pattern that was not tried, because others of its packet had met too much; unmapped too.", func(a *asked) float64 { return float64(a.passed) }),
	gauge("pawl_loop_picture_age_seconds", "How long ago the loop last told how it stands; a tenth of a second or so while it is well.", func(a *asked) float64 { return a.since(a.made) }),
	gauge("pawl_house_reload_ok", "1 if the house file in force is the newest one, 0 if a newer one has faults.", func(a *asked) float64 { return oneIf(a.reloadOK) }),
	gauge("pawl_inputs_playing", "Inputs that are in the mix now.", func(a *asked) float64 { return float64(a.picture.Playing) }),
	gauge("pawl_main_level_decibels", "Modelled level at the main's output, dBFS, mean power over ten seconds.", func(a *asked) float64 { return float64(a.picture.Total) }),
	gauge("pawl_record_ok", "1 while the record can be written or there is none, 0 while it cannot.", func(a *asked) float64 { return oneIf(a.record.Fault == "") }),
	gauge("pawl_record_commit_age_seconds", "How long ago all that the record had been given by then was last in it; 0 if there is none.", func(a *asked) float64 { return a.since(a.record.Kept) }),
	counter("pawl_record_errors_total", "Times that writing the record failed; it is tried again.", func(a *asked) float64 { return float64(a.record.Failed) }),
	counter("pawl_record_rows_total", "Entries and seconds of levels that the record took.", func(a *asked) float64 { return float64(a.record.Written) }),
	counter("pawl_record_rows_missing_total", "Entries and seconds of levels that are missing from the record because it could not be written.", func(a *asked) float64 { return float64(a.record.Dropped + a.record.Refused) }),
	gauge("pawl_record_rows_waiting", "Entries and seconds of levels that wait to be written.", func(a *asked) float64 { return float64(a.record.Waiting) }),
	gauge("pawl_record_bytes", "Length of the record's file.", func(a *asked) float64 { return float64(a.record.Bytes) }),
	gauge("pawl_capture_ok", "1 while the capture can be written or there is none, 0 while it cannot.", func(a *asked) float64 { return oneIf(a.capture.Fault == "") }),
	gauge("pawl_capture_write_age_seconds", "How long ago all that the capture had been given by then was last in it; 0 if no file is open.", func(a *asked) float64 { return a.since(a.capture.Kept) }),
	counter("pawl_capture_errors_total", "Times that writing the capture failed; it is tried again.", func(a *asked) float64 { return float64(a.capture.Failed) }),
	counter("pawl_capture_packets_total", "Packets written to the capture.", func(a *asked) float64 { return float64(a.capture.Written) }),
	counter("pawl_capture_packets_missing_total", "Packets that are missing from the capture because it could not be written.", func(a *asked) float64 { return float64(a.capture.Dropped + a.capture.Refused) }),
	gauge("pawl_capture_packets_waiting", "Packets that wait to be written to the capture.", func(a *asked) float64 { return float64(a.capture.Waiting) }),
	gauge("pawl_capture_bytes", "Length of the captures since Pawl was started, those of ended services too.", func(a *asked) float64 { return float64(a.capture.Bytes) }),
	gauge("pawl_lines_ok", "1 while what is said can be printed, 0 once its reader has gone.", func(a *asked) float64 { return oneIf(a.linesOK) }),
}

// pageMetrics are there before the session has anything to tell.
var pageMetrics = []metric{
	gauge("pawl_page_clients", "Pages connected now.", func(a *asked) float64 { return float64(a.page.Clients) }),
	counter("pawl_page_clients_dropped_total", "Pages told to come back because they could not keep up.", func(a *asked) float64 { return float64(a.page.Dropped) }),
	counter("pawl_page_clients_refused_total", "Pages turned away because as many as are served were here.", func(a *asked) float64 { return float64(a.page.Refused) }),
	counter("pawl_page_frames_total", "Frames made for pages, each once however many pages got it.", func(a *asked) float64 { return float64(a.page.Frames) }),
	counter("pawl_page_frames_faulty_total", "Frames that could not be written, and were not sent: a fault of Pawl's.", func(a *asked) float64 { return float64(a.page.Faults) }),
}

// Those with labels.
var (
	malformedDesc = prometheus.NewDesc("pawl_packets_malformed_total", "Packets or messages that broke the rules of OSC and were dropped.", []string{"reason"}, nil)
	refusedDesc   = prometheus.NewDesc("pawl_values_refused_total", "Values that were no number or of the wrong sort.", []string{"signal"}, nil)
	clampedDesc   = prometheus.NewDesc("pawl_values_clamped_total", "Values outside their signal's range, brought to its end.", []string{"signal"}, nil)
	riseDesc      = prometheus.NewDesc("pawl_rise_decibels", "Change of the total since the mark, by cause.", []string{"cause"}, nil)
	squeezeDesc   = prometheus.NewDesc("pawl_group_reduction_decibels", "Median gain reduction of a group over its last 20 s of playing.", []string{"number", "group"}, nil)
)

// Describe implements prometheus.Collector.
func (t *tally) Describe(to chan<- *prometheus.Desc) {
	for _, table := range [][]metric{pageMetrics, sessionMetrics} {
		for _, m := range table {
			to <- m.desc
		}
	}
	for _, d := range []*prometheus.Desc{malformedDesc, refusedDesc, clampedDesc, riseDesc, squeezeDesc} {
		to <- d
	}
}

// Collect implements prometheus.Collector. Before the first picture of the
// session there is only the page to tell of.
func (t *tally) Collect(to chan<- prometheus.Metric) {
	a := &asked{figures: t.daemon.figures.Load(), at: time.Now(), page: t.daemon.page.Stats()}
	a.collect(pageMetrics, to)
	if a.figures == nil {
		return
	}
	clock := t.daemon.options.Clock
	a.silent = clock.Real(clock.Now() - a.heard)
	a.collect(sessionMetrics, to)
	for _, r := range wire.Reasons() {
		to <- prometheus.MustNewConstMetric(malformedDesc, prometheus.CounterValue, float64(a.malformed[r.String()]), r.String())
	}
	for _, s := range desk.Signals() {
		to <- prometheus.MustNewConstMetric(refusedDesc, prometheus.CounterValue, float64(a.refused[s.String()]), s.String())
		to <- prometheus.MustNewConstMetric(clampedDesc, prometheus.CounterValue, float64(a.clamped[s.String()]), s.String())
	}
	a.collectMix(to)
}

func (a *asked) collect(table []metric, to chan<- prometheus.Metric) {
	for _, m := range table {
		to <- prometheus.MustNewConstMetric(m.desc, m.kind, m.read(a))
	}
}

func (a *asked) collectMix(to chan<- prometheus.Metric) {
	split := a.picture.Split
	for cause, by := range map[string]desk.DB{
		"faders": split.Faders, "stage": split.Stage, "groups": split.Groups, "main": split.Main,
	} {
		to <- prometheus.MustNewConstMetric(riseDesc, prometheus.GaugeValue, float64(by), cause)
	}
	for i, g := range a.picture.Groups {
		if g.Known {
			to <- prometheus.MustNewConstMetric(squeezeDesc, prometheus.GaugeValue, float64(g.Median), strconv.Itoa(i+1), a.groups[i])
		}
	}
}

func oneIf(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
