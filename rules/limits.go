package rules

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"pawl/rules/desk"
)

// Limits are the settings that all judging is done by. Each may be changed in the
// house file under `limits`, by the names in the yaml tags, with its unit in the
// value. A section's type says of each limit what it is (doc) and where its default
// comes from (from), and stands beside what it limits.
type Limits struct {
	Mix      desk.MixLimits  `yaml:"mix"`
	Moves    desk.MoveLimits `yaml:"moves"`
	Segments SegmentLimits   `yaml:"segments"`
	Calm     CalmLimits      `yaml:"calm"`
	Ratchet  RatchetLimits   `yaml:"ratchet"`
	Creep    CreepLimits     `yaml:"creep"`

	MutedVoice      MutedVoiceLimits      `yaml:"muted-voice"`
	StrayCue        StrayCueLimits        `yaml:"stray-cue"`
	HotInput        HotInputLimits        `yaml:"hot-input"`
	HotMain         HotMainLimits         `yaml:"hot-main"`
	QuietMain       QuietMainLimits       `yaml:"quiet-main"`
	QuietDesk       QuietDeskLimits       `yaml:"quiet-desk"`
	SoloRaise       SoloRaiseLimits       `yaml:"solo-raise"`
	OpenMics        OpenMicsLimits        `yaml:"open-mics"`
	SqueezedGroup   SqueezedGroupLimits   `yaml:"squeezed-group"`
	SqueezedInput   SqueezedInputLimits   `yaml:"squeezed-input"`
	MainDown        MainDownLimits        `yaml:"main-down"`
	RoomLoud        RoomLoudLimits        `yaml:"room-loud"`
	LeadBehind      LeadBehindLimits      `yaml:"lead-behind"`
	HarmonyForward  HarmonyForwardLimits  `yaml:"harmony-forward"`
	FillOverLead    FillOverLeadLimits    `yaml:"fill-over-lead"`
	SecondOverFirst SecondOverFirstLimits `yaml:"second-over-first"`
	Crowded         CrowdedLimits         `yaml:"crowded"`
	SpeechRemark    SpeechRemarkLimits    `yaml:"speech-remark"`
	WordsCovered    WordsCoveredLimits    `yaml:"words-covered"`

	LineCheck LineCheckLimits `yaml:"line-check"`
}

// DefaultLimits are the limits of a house file that sets none.
func DefaultLimits() Limits {
	return Limits{
		Mix: desk.DefaultMixLimits(), Moves: desk.DefaultMoveLimits(), Segments: defaultSegmentLimits(), Calm: defaultCalmLimits(),
		Ratchet: defaultRatchetLimits(), Creep: defaultCreepLimits(),

		MutedVoice: defaultMutedVoiceLimits(), StrayCue: defaultStrayCueLimits(), HotInput: defaultHotInputLimits(),
		HotMain: defaultHotMainLimits(), QuietMain: defaultQuietMainLimits(), QuietDesk: defaultQuietDeskLimits(),
		SoloRaise: defaultSoloRaiseLimits(), OpenMics: defaultOpenMicsLimits(),
		SqueezedGroup: defaultSqueezedGroupLimits(), SqueezedInput: defaultSqueezedInputLimits(), MainDown: defaultMainDownLimits(),
		RoomLoud:   defaultRoomLoudLimits(),
		LeadBehind: defaultLeadBehindLimits(), HarmonyForward: defaultHarmonyForwardLimits(), FillOverLead: defaultFillOverLeadLimits(),
		SecondOverFirst: defaultSecondOverFirstLimits(), Crowded: defaultCrowdedLimits(), SpeechRemark: defaultSpeechRemarkLimits(),
		WordsCovered: defaultWordsCoveredLimits(),

		LineCheck: defaultLineCheckLimits(),
	}
}

// WrongLimit is a limit that makes no sense, alone or beside another.
type WrongLimit struct {
	Path string // as in the house file: "ratchet.nudge"
	Text string // what was found and what is wanted
}

// Check finds every limit that makes no sense. Times and counts may not be below
// nothing anywhere; the rest each section knows of itself.
func (l Limits) Check() []WrongLimit {
	var wrong []WrongLimit
	l.each(func(section string, s reflect.Value) {
		for i := range s.NumField() {
			name := s.Type().Field(i).Tag.Get("yaml")
			switch v := s.Field(i).Interface().(type) {
			case time.Duration:
				if v <= 0 {
					wrong = append(wrong, WrongLimit{section + "." + name, fmt.Sprintf("found %v; want more than 0s", v)})
				}
			case int:
				if v < 1 {
					wrong = append(wrong, WrongLimit{section + "." + name, fmt.Sprintf("found %d; want at least 1", v)})
				}
			}
		}
		if c, ok := s.Interface().(interface{ Check() []desk.WrongLimit }); ok {
			for _, w := range c.Check() {
				wrong = append(wrong, WrongLimit{section + "." + w.Name, w.Text})
			}
		}
	})
	return wrong
}

// LimitRow is one line of the table of limits.
type LimitRow struct {
	Section string // "ratchet"
	Name    string // "nudge"
	Default string // with its unit, as a house file would write it
	Doc     string // what it limits
	From    string // where the default comes from
}

// Table lists every limit with its value in l.
func (l Limits) Table() []LimitRow {
	var rows []LimitRow
	l.each(func(section string, s reflect.Value) {
		for i := range s.NumField() {
			tag := s.Type().Field(i).Tag
			from := tag.Get("from")
			if from == "" {
				from = "common practice"
			}
			rows = append(rows, LimitRow{section, tag.Get("yaml"), written(s.Field(i).Interface()), tag.Get("doc"), from})
		}
	})
	return rows
}

// SectionDoc says in a line what the limits of a section are about: a rule's summary.
func SectionDoc(section string) string {
	for _, k := range Kinds {
		if k.Name == section {
			return k.Summary
		}
	}
	return map[string]string{
		"mix": "how levels are read", "moves": "what counts as one motion of one fader", "segments": "when another part of the service begins by itself", "calm": "how often anything is said",
		"line-check": "what the line check asks of each input",
	}[section]
}

// each calls f with every section and its name.
func (l Limits) each(f func(section string, s reflect.Value)) {
	v := reflect.ValueOf(l)
	for i := range v.NumField() {
		f(v.Type().Field(i).Tag.Get("yaml"), v.Field(i))
	}
}

// NotStated is the default of a limit that only the house can know.
const NotStated = "not stated"

// written is a limit as a house file would have it.
func written(v any) string {
	switch v := v.(type) {
	case desk.DB:
		return fmt.Sprintf("%v dB", float64(v))
	case desk.DBFS:
		return fmt.Sprintf("%v dBFS", float64(v))
	case desk.SPL:
		return fmt.Sprintf("%v dB(A)", float64(v))
	case string:
		if v == "" {
			return NotStated
		}
	case time.Duration:
		s := v.String()
		if strings.HasSuffix(s, "m0s") {
			s = strings.TrimSuffix(s, "0s")
		}
		return s
	}
	return fmt.Sprint(v)
}

// CalmLimits bound how often anything is said.
type CalmLimits struct {
	Every    time.Duration `yaml:"every" doc:"whispers and nudges together: one in this long on average" from:"EEMUA 191, on alarm management: one alarm in ten minutes is very likely acceptable to whoever has to answer it"`
	Most     int           `yaml:"most" doc:"and never more than this many within it, the last kept for more than a whisper" from:"ours"`
	Reopen   time.Duration `yaml:"reopen" doc:"the same rule for the same movers stays closed this long" from:"ours"`
	Worse    desk.DB       `yaml:"worse" doc:"unless it is worse by this" from:"ours"`
	Burst    int           `yaml:"burst" doc:"a rule may not come to the screen this many times" from:"ours"`
	BurstIn  time.Duration `yaml:"burst-in" doc:"within this long" from:"ours"`
	Read     time.Duration `yaml:"read" doc:"what was on the screen this long was read, and makes room for another that weighs as much" from:"ours"`
	NotNow   time.Duration `yaml:"not-now" doc:"\"not now\" silences a rule for the segment, or until the next mark, and no longer than this" from:"ours"`
	MarkOver time.Duration `yaml:"mark-over" doc:"a mix is measured from once it has stood this long" from:"ours"`
}

func defaultCalmLimits() CalmLimits {
	return CalmLimits{
		Every: 10 * time.Minute, Most: 2, Reopen: 3 * time.Minute, Worse: 2, Burst: 3, BurstIn: time.Minute,
		Read: 2 * time.Minute, NotNow: 20 * time.Minute, MarkOver: 10 * time.Second,
	}
}
