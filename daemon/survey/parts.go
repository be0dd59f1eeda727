package survey

import (
	"slices"
	"strings"
	"unicode"

	"pawl/rules/desk"
)

// part is what an input is likely to be, by what it is called.
type part struct {
	element desk.Element
	voice   bool
	cue     bool
	by      string // the word that says so; "" if none does
}

// sort is a heap of words that say the same of an input.
type sort struct {
	part
	words string // in English, Spanish, German, French, Italian, Portuguese and Dutch, without accents
}

// sorts are the usual words on the labels of inputs, and what they say: common practice, no
// source. Which element an instrument plays is the band's to say, so all of it is a guess
// for a person to confirm.
var sorts = []sort{
	{part{cue: true}, "click, clic, klick, metronome, metronomo, metronom, cue, cues, talkback, talk back, tb, guide, guia, backtrack count, count in, " +
		"intercom, ordre, regie"},
	{part{voice: true, element: desk.Lead}, "lead vox, lead voc, lead vocal, lead vocals, lead voice, lead singer, ld vox, vox lead, vocal lead, main vox, main vocal, " +
		"voz principal, voz lider, solista, cantante, leadstimme, leadgesang, hauptstimme, vorsanger, vorsangerin, chant lead, voix lead, voix principale, " +
		"chanteur, chanteuse, voce principale, voce solista, cantor, hoofdzang, leadzang, voorzanger"},
	{part{voice: true}, "vox, voc, vocal, vocals, voice, voices, singer, choir, chorus, harmony, harm, bgv, bgvs, bv, bvs, backing vox, soprano, alto, tenor, baritone, " +
		"bass vox, bass voice, reader, reading, lectern, pulpit, podium, speaker, speech, preacher, host, announcer, headset, lav, lapel, handheld, hh mic, rf mic, mc, " +
		"voz, voces, coro, coros, atril, ambon, pulpito, orador, predicador, lector, diadema, solapa, mano, " +
		"stimme, stimmen, gesang, chor, sprecher, sprecherin, pult, rednerpult, kanzel, lesepult, ansteckmikro, funke, moderation, " +
		"voix, chant, choeur, choeurs, pupitre, chaire, orateur, lecteur, micro cravate, micro main, " +
		"voce, voci, leggio, pulpito, relatore, oratore, lettore, " +
		"vozes, coral, leitor, orador, " +
		"stem, stemmen, zang, koor, spreker, lezer, preekstoel, katheder"},
	{part{element: desk.Foundation}, "kick, kik, kick in, kick out, bd, bass drum, cajon, bass, bass di, bass amp, bass gtr, bass guitar, upright bass, double bass, contrabass, " +
		"sub kick, tuba, synth bass, " +
		"bombo, bajo, contrabajo, tololoche, bassdrum, grosse trommel, kontrabass, e bass, ebass, grosse caisse, gc, basse, contrebasse, " +
		"cassa, grancassa, basso, contrabbasso, bumbo, baixo, contrabaixo, basdrum, bas, basgitaar, contrabas"},
	{part{element: desk.Rhythm}, "snare, snare top, snare bottom, sn, hat, hats, hihat, hi hat, hh, tom, toms, tom 1, tom 2, rack tom, floor tom, overhead, overheads, oh, oh l, oh r, " +
		"drum, drums, kit, perc, percussion, shaker, tambourine, conga, congas, bongo, bongos, djembe, piano, pno, grand piano, upright piano, keys, keyboard, kbd, rhodes, epiano, " +
		"acoustic, acoustic gtr, acoustic guitar, ac gtr, agtr, a gtr, rhythm gtr, rhythm guitar, gtr, guitar, egtr, e gtr, electric gtr, electric guitar, mandolin, banjo, ukulele, uke, " +
		"caja, redoblante, bateria, percusion, pandero, pandereta, congas, teclado, teclados, guitarra, guitarra acustica, guitarra electrica, ukelele, charango, cuatro, " +
		"schlagzeug, becken, klavier, flugel, tasten, gitarre, a gitarre, e gitarre, westerngitarre, mandoline, " +
		"caisse claire, charley, batterie, percu, percussions, clavier, claviers, guitare, guitare acoustique, guitare electrique, " +
		"rullante, batteria, percussioni, pianoforte, tastiera, tastiere, chitarra, chitarra acustica, chitarra elettrica, " +
		"caixa, violao, pandeiro, percussao, toetsen, slagwerk, gitaar, akoestische gitaar"},
	{part{element: desk.Pad}, "pad, pads, organ, hammond, synth, synths, strings, string pad, accordion, harmonium, cello, viola, " +
		"organo, orgue, orgel, orgao, sintetizador, sinte, cuerdas, acordeon, violonchelo, chelo, akkordeon, streicher, violoncelle, cordes, accordeon, archi, fisarmonica, " +
		"violoncello, cordas, acordeao, strijkers"},
	{part{element: desk.Fill}, "lead gtr, lead guitar, solo gtr, solo guitar, fiddle, violin, violins, flute, whistle, recorder, clarinet, oboe, sax, saxophone, alto sax, tenor sax, trumpet, tpt, " +
		"trombone, tbn, horn, horns, brass, harp, harmonica, glockenspiel, vibes, " +
		"violines, flauta, clarinete, saxo, saxofon, trompeta, trombon, trompa, arpa, armonica, guitarra lider, " +
		"geige, geigen, violine, flote, querflote, klarinette, saxophon, trompete, posaune, harfe, " +
		"violon, violons, clarinette, trompette, cor, harpe, " +
		"violino, flauto, clarinetto, sassofono, tromba, corno, " +
		"violinos, saxofone, trompete, gaita, " +
		"viool, fluit, klarinet, saxofoon, trompet, hoorn, bazuin"},
}

// accents are the letters of these languages without their marks.
var accents = strings.NewReplacer("á", "a", "à", "a", "â", "a", "ã", "a", "ä", "a", "ç", "c", "é", "e", "è", "e", "ê", "e", "ë", "e", "í", "i", "ì", "i", "î", "i", "ï", "i",
	"ñ", "n", "ó", "o", "ò", "o", "ô", "o", "õ", "o", "ö", "o", "ú", "u", "ù", "u", "û", "u", "ü", "u", "œ", "oe", "ß", "ss", "æ", "ae", "ø", "o", "å", "a")

// known is the sort of each word, or words.
var known, longestWords = func() (map[string]part, int) {
	all, longest := map[string]part{}, 1
	for _, s := range sorts {
		for words := range strings.SplitSeq(s.words, ", ") {
			if _, twice := all[words]; !twice { // what stands first is likelier
				p := s.part
				p.by = words
				all[words] = p
			}
			longest = max(longest, strings.Count(words, " ")+1)
		}
	}
	return all, longest
}()

// partOf guesses what an input is by what it is called: by the longest of its words that are
// known, and of two as long by a voice before an instrument, since a singer's label often
// says what else they play.
func partOf(name string) (best part) {
	tokens := strings.FieldsFunc(accents.Replace(strings.ToLower(name)), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	tokens = slices.DeleteFunc(tokens, func(t string) bool {
		return t == "mic" || t == "mik" || t == "micro" || t == "di" || t == "l" || t == "r"
	})
	longest := 0
	for i := range tokens {
		for n := min(longestWords, len(tokens)-i); n > 0; n-- {
			words := strings.Join(tokens[i:i+n], " ")
			p, ok := known[words]
			if !ok && n == 1 { // "kick2", "tom1", "vox3"
				p, ok = known[strings.TrimRightFunc(words, unicode.IsDigit)]
			}
			if ok && (n > longest || n == longest && p.voice && !best.voice) {
				best, longest = p, n
			}
		}
	}
	return best
}

// said is the part as a house file writes it, "" if nothing is known.
func (p part) said() string {
	switch {
	case p.by == "":
		return ""
	case p.cue:
		return "cue: yes, main: no"
	case p.voice && p.element != desk.NoElement:
		return "element: " + p.element.String() + ", voice: yes"
	case p.voice:
		return "voice: yes"
	}
	return "element: " + p.element.String()
}
