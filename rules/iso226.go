package rules

import (
	"math"
	"slices"

	"pawl/rules/desk"
)

// contour is what ISO 226:2023, Table 1, says of the ear at one frequency.
type contour struct {
	hz        float64
	alpha     float64 // how loudness grows with the level
	transfer  float64 // dB, the field's transfer against that at 1 kHz
	threshold float64 // dB, of hearing
}

// phon is a loudness level: that of a 1 kHz tone of so many dB.
type phon float64

// The standard's formulas (1) and (2) hold from leastPhon to mostPhon, up to 4 kHz.
const (
	leastPhon phon = 20
	mostPhon  phon = 90
)

// spl is the sound pressure level, in dB, that is as loud as so many phons.
func (c contour) spl(p phon) float64 {
	grown := math.Pow(4e-10, 0.3-c.alpha) * (math.Pow(10, 0.03*float64(p)) - math.Pow(10, 0.072))
	return 10/c.alpha*math.Log10(grown+math.Pow(10, c.alpha*(c.threshold+c.transfer)/10)) - c.transfer
}

// phons is how loud a sound pressure level is; its inverse. Below the threshold of
// hearing it is no number.
func (c contour) phons(spl float64) phon {
	heard := math.Pow(10, c.alpha*(spl+c.transfer)/10) - math.Pow(10, c.alpha*(c.threshold+c.transfer)/10)
	return phon(100.0 / 3 * math.Log10(heard/math.Pow(4e-10, 0.3-c.alpha)+math.Pow(10, 0.072)))
}

// lows are the octave bands that a quieter whole loses first.
var lows = [...]float64{31.5, 63, 125, 250}

// lostLows is by how many phons each of the lows loses more than 1 kHz does, when what
// was as loud at all of them as 1 kHz at from is turned down. It is false where the
// standard gives no number.
func lostLows(from desk.SPL, down desk.DB) (lost [len(lows)]desk.DB, ok bool) {
	left := phon(from) - phon(down)
	if left < leastPhon || phon(from) > mostPhon {
		return lost, false
	}
	for i, hz := range lows {
		c := contourAt(hz)
		p := c.phons(c.spl(phon(from)) - float64(down))
		if !(p >= leastPhon) {
			return lost, false
		}
		lost[i] = desk.DB(left - p)
	}
	return lost, true
}

func contourAt(hz float64) contour {
	return contours[slices.IndexFunc(contours[:], func(c contour) bool { return c.hz == hz })]
}

var contours = [...]contour{
	{20, 0.635, -31.5, 78.1},
	{25, 0.602, -27.2, 68.7},
	{31.5, 0.569, -23.1, 59.5},
	{40, 0.537, -19.3, 51.1},
	{50, 0.509, -16.1, 44.0},
	{63, 0.482, -13.1, 37.5},
	{80, 0.456, -10.4, 31.5},
	{100, 0.433, -8.2, 26.5},
	{125, 0.412, -6.3, 22.1},
	{160, 0.391, -4.6, 17.9},
	{200, 0.373, -3.2, 14.4},
	{250, 0.357, -2.1, 11.4},
	{315, 0.343, -1.2, 8.6},
	{400, 0.330, -0.5, 6.2},
	{500, 0.320, 0.0, 4.4},
	{630, 0.311, 0.4, 3.0},
	{800, 0.303, 0.5, 2.2},
	{1000, 0.300, 0.0, 2.4},
	{1250, 0.295, -2.7, 3.5},
	{1600, 0.292, -4.2, 1.7},
	{2000, 0.290, -1.2, -1.3},
	{2500, 0.290, 1.4, -4.2},
	{3150, 0.289, 2.3, -6.0},
	{4000, 0.289, 1.0, -5.4},
	{5000, 0.289, -2.3, -1.5},
	{6300, 0.293, -7.2, 6.0},
	{8000, 0.303, -11.2, 12.6},
	{10000, 0.323, -10.9, 13.9},
	{12500, 0.354, -3.5, 12.3},
}
