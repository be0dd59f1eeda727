package dashboard

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"slices"
	"strings"

	"golang.org/x/time/rate"

	"pawl/dashboard/keys"
	"pawl/rules"
)

// visitor is whoever a request comes from.
type visitor struct {
	may keys.Role
	key string // the ID of the key; "" on this machine
}

type visitorKey struct{}

// visitorOf is whom admit found a request to come from.
func visitorOf(r *http.Request) visitor {
	v, _ := r.Context().Value(visitorKey{}).(visitor)
	return v
}

// whoAsks finds out. On this machine one may do everything: who sits there can read the
// house file too. wrong is true for a key that is not in force.
func (s *Server) whoAsks(r *http.Request) (v visitor, wrong bool) {
	if s.options.Keys == nil || onThisMachine(r) {
		return visitor{may: keys.Installer}, false
	}
	secret := secretOf(r)
	if secret == "" {
		return visitor{}, false
	}
	k, ok := s.options.Keys.Check(secret)
	return visitor{k.May, k.ID}, !ok
}

// onThisMachine is whether a request was made here. One that something here passes on for
// somebody elsewhere says so, or may as well come from anywhere.
func onThisMachine(r *http.Request) bool {
	for _, passedOn := range []string{"Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Real-Ip", "Via"} {
		if r.Header.Get(passedOn) != "" {
			return false
		}
	}
	from, err := netip.ParseAddr(addressOf(r.RemoteAddr))
	return err == nil && from.Unmap().IsLoopback()
}

// secretOf is the secret that a request brings: a browser in its cookie, a machine as a
// bearer (RFC 6750).
func secretOf(r *http.Request) string {
	if scheme, secret, ok := strings.Cut(r.Header.Get("Authorization"), " "); ok && strings.EqualFold(scheme, "Bearer") {
		return strings.TrimSpace(secret)
	}
	if c, err := r.Cookie(keyCookie(r)); err == nil {
		return c.Value
	}
	return ""
}

// keyCookie is the name of the cookie with the key. Cookies do not tell ports apart, and two
// halls may have their Pawl on one machine.
func keyCookie(r *http.Request) string {
	if _, port, err := net.SplitHostPort(r.Host); err == nil {
		return "pawl-key-" + port
	}
	return "pawl-key"
}

// Browsers keep no cookie for longer; every page that is opened begins it anew.
const keepKey = 400 * 24 * 60 * 60 // seconds

func setKey(w http.ResponseWriter, r *http.Request, secret string) {
	http.SetCookie(w, &http.Cookie{
		Name: keyCookie(r), Value: secret, Path: "/", MaxAge: keepKey, HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: r.TLS != nil,
	})
}

// admit lets a request through to what those of a role may see. A page sends others to where
// a key is got, and comes back to from there; anything else refuses.
func (s *Server) admit(least keys.Role, page bool, next http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v, wrong := s.whoAsks(r)
		if wrong && !s.guesses.allow(r.RemoteAddr) {
			tooFast(w)
			return
		}
		switch {
		case v.may >= least:
			if page && v.key != "" {
				setKey(w, r, secretOf(r))
			}
			next(w, r.WithContext(context.WithValue(r.Context(), visitorKey{}, v)))
		case page:
			w.Header().Set("Cache-Control", "no-store")
			http.Redirect(w, r, "/pair?"+url.Values{"to": {r.URL.Path}, "may": {v.may.String()}, "needs": {least.String()}}.Encode(), http.StatusSeeOther)
		case v.may == keys.Nobody:
			w.Header().Set("WWW-Authenticate", "Bearer")
			plain(w, http.StatusUnauthorized, s.says(r, rules.Say("refused.no-key")))
		default:
			plain(w, http.StatusForbidden, s.says(r, lacks(least)))
		}
	}
}

// noCoach refuses a page that says it is a coach's to whoever has no key for that.
func (s *Server) noCoach(w http.ResponseWriter, r *http.Request, a audience) bool {
	no := a.coach && visitorOf(r).may < keys.Coach
	if no {
		plain(w, http.StatusForbidden, s.says(r, lacks(keys.Coach)))
	}
	return no
}

// lacks is the phrase for a key that may do less than it takes.
func lacks(least keys.Role) rules.Phrase {
	if least == keys.Coach {
		return rules.Say("refused.coach-key")
	}
	return rules.Say("refused.installer-key")
}

// says is a phrase as a sentence in the language of whoever asks.
func (s *Server) says(r *http.Request, p rules.Phrase) string {
	return sentence(s.speaker(r).Say(p))
}

func tooFast(w http.ResponseWriter) {
	w.Header().Set("Retry-After", "10")
	plain(w, http.StatusTooManyRequests, "Too many wrong keys. Wait a little.")
}

// coachPresses are those that only the coach's page has.
var coachPresses = []rules.Do{
	rules.Question, rules.Hold, rules.Tell, rules.TellBack,
	rules.OrderAdd, rules.OrderRemove, rules.OrderMove, rules.OrderRename, rules.OrderKind, rules.OrderReset,
}

// mayPress says why a visitor may not press this, or nil.
func (v visitor) mayPress(p rules.Press) error {
	if v.may < keys.Coach && slices.Contains(coachPresses, p.Do) {
		return rules.Refuse("refused.coach-key")
	}
	return nil
}

// guesses slows down whoever tries keys and codes: each address by itself, and all together,
// as an address costs nothing.
type guesses struct {
	all   *rate.Limiter
	tries *limiters
}

func newGuesses() *guesses {
	return &guesses{all: rate.NewLimiter(guessesInAll, guessesInAllBurst), tries: newLimiters(guessesEach, guessesEachBurst)}
}

// allow is whether one more wrong try is taken from there.
func (g *guesses) allow(from string) bool { return g.tries.of(from).Allow() && g.all.Allow() }
