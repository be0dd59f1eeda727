package desk

import (
	"math"
	"strconv"
)

// DB is a ratio in decibels: a fader setting, a rise, an amount of gain
// reduction. Gain reduction counts upwards, so 6 means 6 dB quieter. The zero
// value is unity: no change.
type DB float64

// Off is a closed fader. It is minus infinity and never some very low number, so
// that no sum or mean can turn it into a plausible setting.
var Off = DB(math.Inf(-1))

// DBFS is an absolute level in decibels relative to digital full scale. The
// convention (peak or RMS, sine or square) is the desk's own and is not changed
// here; only differences of levels from the same desk are judged.
type DBFS float64

// SPL is a sound pressure level in the room, A-weighted: decibels over 20 micropascals
// as the ear takes them. The zero value is none stated, where one is to be stated.
type SPL float64

// Silence is the level of no signal at all: minus infinity, not a large
// negative number.
var Silence = DBFS(math.Inf(-1))

// Power is a linear power relative to full scale: 1 is 0 dBFS, 0 is Silence.
// Levels are added as powers, never as decibels.
type Power float64

// Ratio is a linear power gain: 1 is 0 dB, 0 is Off.
type Ratio float64

const nepersPerDB = math.Ln10 / 10

// Power is the level as a linear power.
func (l DBFS) Power() Power { return Power(math.Exp(float64(l) * nepersPerDB)) }

// Level is the power in decibels; no power is Silence.
func (p Power) Level() DBFS {
	if p <= 0 {
		return Silence
	}
	return DBFS(math.Log(float64(p)) / nepersPerDB)
}

// Ratio is the gain as a linear power gain.
func (d DB) Ratio() Ratio { return Ratio(math.Exp(float64(d) * nepersPerDB)) }

// DB is the power gain in decibels; none at all is Off.
func (r Ratio) DB() DB { return DB(Power(r).Level()) }

// Above reports how far a lies above b. Two silences are level with each other:
// plain subtraction gives NaN, which is over no limit, and a rule would fall mute.
func (l DBFS) Above(b DBFS) DB {
	if l == b {
		return 0
	}
	return DB(l - b)
}

// Plus is the level after a gain. Silence stays Silence whatever the gain.
func (l DBFS) Plus(g DB) DBFS {
	if l == Silence || g == Off {
		return Silence
	}
	return l + DBFS(g)
}

// Above reports how far a fader setting lies above another. Two closed faders
// are level with each other.
func (d DB) Above(b DB) DB {
	if d == b {
		return 0
	}
	return d - b
}

// rounding is what a setting may lose on its way: desks send 32-bit floats, and
// -1.3 less -2.3 is not quite 1. No limit is finer than a hundred times this.
const rounding = DB(1e-4)

// Reaches reports whether d is at or over a limit, to rounding.
func (d DB) Reaches(limit DB) bool { return d >= limit-rounding }

// String gives one decimal, the finest step a fader scale shows.
func (d DB) String() string { return OneDecimal(float64(d)) + " dB" }

// Signed is String with a plus sign for a rise.
func (d DB) Signed() string {
	if s := d.String(); s[0] != '-' {
		return "+" + s
	}
	return d.String()
}

// String gives one decimal.
func (l DBFS) String() string { return OneDecimal(float64(l)) + " dBFS" }

// Unit is how a person writes a ratio in a file: "3 dB".
func (DB) Unit() string { return "dB" }

// Unit is how a person writes a level in a file: "-50 dBFS".
func (DBFS) Unit() string { return "dBFS" }

// String gives one decimal.
func (l SPL) String() string { return OneDecimal(float64(l)) + " dB(A)" }

// Unit is how a person writes a sound level in a file: "85 dB(A)".
func (SPL) Unit() string { return "dB(A)" }

// MarshalJSON writes one number with three decimals, or null for Off: JSON has
// no number for an infinity, and the rest is noise on the wire.
func (d DB) MarshalJSON() ([]byte, error) { return JSON(float64(d)), nil }

// MarshalJSON writes one number with three decimals, or null for Silence.
func (l DBFS) MarshalJSON() ([]byte, error) { return JSON(float64(l)), nil }

// UnmarshalJSON reads what MarshalJSON wrote; null is Off.
func (d *DB) UnmarshalJSON(b []byte) (err error) {
	v, err := fromJSON(b)
	*d = DB(v)
	return err
}

// UnmarshalJSON reads what MarshalJSON wrote; null is Silence.
func (l *DBFS) UnmarshalJSON(b []byte) (err error) {
	v, err := fromJSON(b)
	*l = DBFS(v)
	return err
}

func fromJSON(b []byte) (float64, error) {
	if string(b) == "null" {
		return math.Inf(-1), nil
	}
	return strconv.ParseFloat(string(b), 64)
}

// JSON writes a number with three decimals, or null for an infinity and for no number.
func JSON(v float64) []byte {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return []byte("null")
	}
	// Adding zero turns a rounded -0 into 0.
	return strconv.AppendFloat(nil, math.Round(v*1000)/1000+0, 'f', -1, 64)
}

// OneDecimal writes a number of decibels as a fader scale shows it, with a hyphen for a
// minus and "-∞" for minus infinity.
func OneDecimal(v float64) string {
	if math.IsInf(v, -1) {
		return "-∞"
	}
	return strconv.FormatFloat(math.Round(v*10)/10+0, 'f', 1, 64)
}

// Abs is the size of a change.
func (d DB) Abs() DB { return max(d, -d) }

// Shown is d as its one decimal shows it.
func (d DB) Shown() DB { return DB(math.Round(float64(d)*10) / 10) }
