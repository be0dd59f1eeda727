package wire

import "time"

// TimeTag is an instant as OSC writes it: seconds since the start of the year
// 1900 in the upper 32 bits, fractions of a second in the lower.
type TimeTag uint64

// Immediately is the time tag that names no instant: at once, on arrival.
const Immediately TimeTag = 1

// unixEpoch is 1970-01-01 in seconds since 1900-01-01: 70 years and 17 leap days.
const unixEpoch = 2208988800

// TimeTagOf gives the time tag of t, no more than a quarter of a nanosecond
// early. The zero Time gives Immediately. From 2036-02-07 on the seconds wrap
// round, which TimeTag.Time undoes; instants before 1968 or after 2104 are out
// of its reach.
func TimeTagOf(t time.Time) TimeTag {
	if t.IsZero() {
		return Immediately
	}
	seconds := uint64(t.Unix()+unixEpoch) << 32
	fraction := uint64(t.Nanosecond()) << 32 / uint64(time.Second)
	return TimeTag(seconds | fraction)
}

// Time gives the instant in UTC, rounded to a nanosecond. The seconds wrap
// round in 2036: those without their highest bit are taken to lie after it, as
// time servers do. Immediately has no instant and gives the zero Time.
func (t TimeTag) Time() time.Time {
	if t == Immediately {
		return time.Time{}
	}
	seconds := int64(t >> 32)
	if seconds < 1<<31 {
		seconds += 1 << 32
	}
	nanos := (uint64(uint32(t))*uint64(time.Second) + 1<<31) >> 32
	return time.Unix(seconds-unixEpoch, int64(nanos)).UTC()
}
