package practice

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"pawl/oscmap/wire"
)

// polled is the dialect of a desk that says nothing by itself: it answers one
// value to each question, which is the address without an argument. Numbers are
// in 256ths of a dB, switches are words.
type polled struct{}

var polledPaths = [words]string{
	inputName: "/tell/line/%d/name", inputFader: "/tell/line/%d/set", inputMute: "/tell/line/%d/gate", inputLevel: "/tell/line/%d/now",
	dcaFader: "/tell/ride/%d/set", dcaMute: "/tell/ride/%d/gate",
	groupFader: "/tell/bundle/%d/set", groupMute: "/tell/bundle/%d/gate",
	groupThreshold: "/tell/bundle/%d/catch", groupRatio: "/tell/bundle/%d/catch/ratio", groupMakeUp: "/tell/bundle/%d/catch/back",
	groupLevelIn: "/tell/bundle/%d/first", groupLevel: "/tell/bundle/%d/now", groupReduction: "/tell/bundle/%d/caught",
	mainFader: "/tell/last/set", mainMute: "/tell/last/gate", mainLevel: "/tell/last/now",
}

// Name is "polled".
func (polled) Name() string { return "polled" }

// Map is maps/polled.map.yaml.
func (polled) Map() []byte { return mapNamed("polled") }

// Transport is UDP.
func (polled) Transport() string { return "udp" }

func (polled) tell(v view, about []topic, say func([]byte)) {
	for _, t := range about {
		path := polledPaths[t.word]
		if bankOf[t.word] != mains {
			path = fmt.Sprintf(path, t.index+1)
		}
		say(message(path, polledValue(v, t)))
	}
}

func polledValue(v view, t topic) any {
	switch t.word {
	case inputName:
		return seats[t.index].name
	case inputMute, dcaMute, groupMute, mainMute:
		if v.muted(t) {
			return "shut"
		}
		return "open"
	case groupRatio:
		return float32(v.number(t))
	}
	if x := v.number(t); !math.IsInf(x, 0) {
		return int(math.Round(x * 256))
	}
	return math.MinInt32
}

// meters says nothing: nobody asked.
func (polled) meters(view, func([]byte)) {}

// polledRounds are the asks of polled.map.yaml by their periods in ticks.
var polledRounds = []struct {
	every int64
	about []topic
}{
	{15, all(faderOf[:]...)},
	{30, all(muteOf[:]...)},
	{6, meters()},
	{600, all(inputName, groupThreshold, groupRatio, groupMakeUp)},
}

// rota is what the asks of polled.map.yaml ask for at a tick: everything at
// first, and then each value in its turn, those of one period spread over it.
func (polled) rota(tick int64) (told []topic) {
	if tick == 0 {
		return append(settings(), meters()...)
	}
	for _, r := range polledRounds {
		for k, t := range r.about {
			if tick%r.every == int64(k)*r.every/int64(len(r.about)) {
				told = append(told, t)
			}
		}
	}
	return told
}

// hear takes a message without arguments as a question for one value.
func (polled) hear(m *wire.Message) request {
	address := string(m.Address)
	if len(m.Tags) > 0 || m.Untagged && len(m.Data) > 0 {
		return request{}
	}
	for w, path := range polledPaths {
		before, after, counted := strings.Cut(path, "%d")
		if !counted && address == path {
			return request{one: true, topic: topic{word(w), 0}}
		}
		middle, ok := strings.CutPrefix(address, before)
		if !ok || !counted {
			continue
		}
		if middle, ok = strings.CutSuffix(middle, after); !ok {
			continue
		}
		if n, err := strconv.Atoi(middle); err == nil && n >= 1 && n <= strips[bankOf[w]] {
			return request{one: true, topic: topic{word(w), n - 1}}
		}
	}
	return request{}
}
