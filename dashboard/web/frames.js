// Made from the Go types by go test ./dashboard -run TestForms -update. Nothing runs here.

/**
 * frame is one message to a page: "whole" for all that it shows, "beat" for what is new. FRAMES.md describes them.
 * @typedef {object} Frame
 * @property {"whole"|"beat"} frame
 * @property {string} [page] in a whole frame: which page this server serves
 * @property {string} language that its words are in
 * @property {Array<Language>} [languages] in a whole frame: those to choose from
 * @property {Now} now
 * @property {Array<Entry>} entries that are new; in a whole frame, of the last ten minutes
 * @property {Ledger} [ledger] To a coach's page alone, and only when they are new.
 * @property {Book} [book]
 */

/**
 * Language is one that can be chosen.
 * @typedef {object} Language
 * @property {string} tag BCP 47: "en"
 * @property {string} name in itself: "English"
 */

/**
 * Now is everything a screen shows at one instant: what the judge sees, and what the daemon knows besides. Numbers that are minus infinity leave as null.
 * @typedef {object} Now
 * @property {number} t
 * @property {number} n the newest entry that it knows of
 * @property {""|"meters"|"partly"|"faders"} basis
 * @property {boolean} explained false while the map does not account for the desk's own main level
 * @property {number} playing inputs in the mix now
 * @property {number|null} total_dbfs modelled, at the main's output, mean power over ten seconds
 * @property {MarkPicture} mark
 * @property {number|null} rise_db total above the mark, the sum of Split
 * @property {Split} split
 * @property {SegmentPicture} segment
 * @property {boolean} hold the coach holds whispers and nudges
 * @property {Finding|null} card the one nudge or now on the screen
 * @property {Finding|null} line the one whisper, or what has just eased
 * @property {CoachLine|null} told the line that the coach sent, while it stands on the operator's screen
 * @property {Array<GroupPicture>} groups
 * @property {number|null} plenty_db of reduction on a group: more is too much, by the limits in force
 * @property {Array<Part>} parts
 * @property {Phrase} lead Lead is the change in a glance's words, without its number, or why there is none; Rest goes on from it, with what made most of it; Causes are the figures of both.
 * @property {Phrase} rest
 * @property {Phrase} causes
 * @property {number} at the time of day at T: seconds since 1970. Publish fills it in where it is 0
 * @property {string} house the house file's own name for the place
 * @property {Link} link
 * @property {Array<Notice>} notices
 * @property {NowWords} words in the reader's language; put there by the server
 */

/**
 * MarkPicture is the mark that figures are measured from.
 * @typedef {object} MarkPicture
 * @property {boolean} set the rest means nothing until it is
 * @property {number} t
 * @property {""|"hand"|"music"|"scene"|"routing"|"accepted"} how
 * @property {number|null} total_dbfs
 */

/**
 * Split is a change of the total, divided among its causes. The parts add up to the change, to rounding.
 * @typedef {object} Split
 * @property {number|null} faders_db inputs and DCAs, mutes, where inputs go, with what the groups took back because of them
 * @property {number|null} stage_db the sources themselves, likewise
 * @property {number|null} groups_db the groups' settings and faders, and what their answers cannot explain
 * @property {number|null} main_db the main fader
 */

/**
 * SegmentPicture is the part of the service that this is.
 * @typedef {object} SegmentPicture
 * @property {number} number
 * @property {number} since
 * @property {""|"music"|"speech"|"quiet"|"sound-check"} kind
 * @property {string} name
 * @property {number} part of the running order, counted from 1; 0 for one that is not in it
 * @property {""|"tap"|"scene"|"heard"|"back"} how how it began
 * @property {string} next the part of the running order that comes next, or ""
 * @property {boolean} back it began with a tap that may still be taken back
 */

/**
 * Finding is something that a rule has to say, with the whole of why. The same Number is kept from its opening to its easing.
 * @typedef {object} Finding
 * @property {number} n counts from 1 within a service
 * @property {number} t
 * @property {"finding"} entry
 * @property {number} number counts from 1 within a service
 * @property {string} rule the rule's name in Kinds
 * @property {"open"|"grew"|"eased"|"shown"|"held"} state
 * @property {"whisper"|"nudge"|"now"} weight
 * @property {boolean} shown Shown is true while it is on the operator's screen, or if it was until it eased. HeldBack says why it is not, and is nil when it is or was.
 * @property {Phrase|null} held_back
 * @property {number} [renewed] Renewed counts how many times its words were made anew after they were said, as what there is to try became another. It is 0 in an entry: that is what was said.
 * @property {Array<Who>} about the first mover first
 * @property {Array<string>} inputs their names in the words of the house, in the same order
 * @property {Record<string, number|null>} figures what was measured, the total's rise and its causes first
 * @property {Array<Phrase>} what what happened and what it did, a sentence each, the first for a glance
 * @property {Phrase} try one thing to try; none once eased
 * @property {Phrase} then what that will do
 * @property {Array<Fact>} facts what it was made from, in order of time
 * @property {boolean} [accepted] Accepted is true for an eased finding after which the level as it stands is the one to measure from.
 * @property {Words} [words] Words are its phrases in some reader's language, put there when it leaves for somebody who reads. The judge never does.
 */

/**
 * Phrase is something to be said, as facts: the words are found in a catalogue by ID when it is known who reads them. The zero value says nothing.
 * @typedef {object} Phrase
 * @property {string} id of the catalogue: "ratchet.turns"
 * @property {Record<string, number|null>} [figures]
 * @property {Record<string, Array<Who>>} [who]
 * @property {Record<string, string>} [texts] what is quoted as it is, by name
 */

/**
 * Who is a mover with the name that it had at the time, for whoever reads of it later.
 * @typedef {object} Who
 * @property {"input"|"dca"|"group"|"main"} strip
 * @property {number} index from 0
 * @property {string} name without what it is: "band", not "band DCA"
 * @property {string} [label] Label is Name with what it is in a reader's language, put there when it leaves for somebody who reads; "" before.
 */

/**
 * Fact is one thing behind a finding: usually one move.
 * @typedef {object} Fact
 * @property {number} t
 * @property {Who|null} about nil for one about nobody in particular
 * @property {string} id of the catalogue: "ratchet.turns"
 * @property {Record<string, number|null>} [figures]
 * @property {Record<string, Array<Who>>} [who]
 * @property {Record<string, string>} [texts] what is quoted as it is, by name
 */

/**
 * Words are what a Finding says, in one language.
 * @typedef {object} Words
 * @property {Array<string>} what a sentence each
 * @property {string} try
 * @property {string} then
 * @property {Array<string>} facts
 * @property {string} held_back
 */

/**
 * CoachLine is a line from whoever coaches to the operator's screen.
 * @typedef {object} CoachLine
 * @property {number} number counts from 1
 * @property {string} text
 * @property {number} t when it came there
 * @property {"on"|"seen"|"back"|"replaced"|"gone"} state
 * @property {number} until when it left, or will by itself
 */

/**
 * GroupPicture is how hard a group's compressor works.
 * @typedef {object} GroupPicture
 * @property {Who} who
 * @property {boolean} active something in it is playing and open
 * @property {boolean} known the figures mean something
 * @property {""|"computed"|"measured"|"reported"} source how they are known, or "" while they are not
 * @property {number|null} median_db
 * @property {number|null} low_db 10th and 90th percentile of the last minute of playing
 * @property {number|null} high_db
 */

/**
 * Part is one element of the mix and who leads it now.
 * @typedef {object} Part
 * @property {"none"|"foundation"|"pad"|"rhythm"|"lead"|"fill"} element
 * @property {boolean} present
 * @property {Who|null} lead the loudest input of the element; nil when none is present
 */

/**
 * Link is how the desk is heard.
 * @typedef {object} Link
 * @property {"waiting"|"hearing"|"quiet"|"not-understood"} phase
 * @property {number} age seconds since the last packet; 0 while waiting
 * @property {string} desk its address or name
 * @property {number} packets
 * @property {string} example an address that arrived and is not in the map, or ""
 * @property {Phrase} says
 * @property {string} text Says in words
 */

/**
 * Notice is something wrong that stays on the page until it is cured, such as the faults of a house file that could not be reloaded.
 * @typedef {object} Notice
 * @property {string} kind one word, such as "house"
 * @property {Phrase} says
 * @property {string} text Says in words; may have several lines
 */

/**
 * NowWords are what a screen says of Now besides its card and its line.
 * @typedef {object} NowWords
 * @property {string} lead what the change is called, or why there is none
 * @property {string} rest what made most of it, or ""
 * @property {string} causes the figures of its causes, or "" while nothing is measured
 * @property {string} mark since when, and how that mark came to be; "{at}" stands for the time of day. "" for no mark
 * @property {string} basis what qualifies the figures, or ""
 */

/**
 * Entry is one thing that happened: in the record a row, in a frame an element of its list, with --json a line. Everything that is said leaves as one.
 * @typedef {Finding|Moved|Marked|Parted|Pressed|Second|Linked|Housed|LineChecked} Entry
 */

/**
 * Moved is a move that came to rest and that counts.
 * @typedef {object} Moved
 * @property {number} n counts from 1 within a service
 * @property {number} t
 * @property {"move"} entry
 * @property {Who} who
 * @property {"raise"|"lower"|"bring-in"|"take-out"|"return"|"scene"|"reroute"|"gain-set"} kind
 * @property {number} began
 * @property {number} ended when it came to rest; it is judged a little later
 * @property {number|null} from_db null for closed or muted
 * @property {number|null} to_db
 * @property {number|null} by_db upwards positive; null between closed and not
 * @property {boolean} [first] no hand's: where it stood, or its mute, when it was first heard
 */

/**
 * Marked is a new mix to measure from, or an earlier one again.
 * @typedef {object} Marked
 * @property {number} n counts from 1 within a service
 * @property {number} t
 * @property {"mark"} entry
 * @property {""|"hand"|"music"|"scene"|"routing"|"accepted"} how
 * @property {number|null} total_dbfs
 * @property {boolean} [back] the newest was taken back: this is of the one before it; how is "" if that was none
 */

/**
 * Parted is a new segment of the service, or the same one, by its number, of another kind than it was.
 * @typedef {object} Parted
 * @property {number} n counts from 1 within a service
 * @property {number} t
 * @property {"segment"} entry
 * @property {number} number counts from 1; one taken back is not given again
 * @property {""|"music"|"speech"|"quiet"|"sound-check"} kind "" for one of which nobody said and nothing is heard yet
 * @property {string} name the house's own, or ""
 * @property {number} part of the running order, counted from 1; 0 for one that is not in it
 * @property {""|"tap"|"scene"|"heard"|"back"} how
 */

/**
 * Pressed is a press that was taken.
 * @typedef {object} Pressed
 * @property {number} n counts from 1 within a service
 * @property {number} t
 * @property {"press"} entry
 * @property {"seen"|"not-now"|"bring-back"|"mark"|"mark-back"|"segment"|"back"|"note"|"question"|"hold"|"tell"|"tell-seen"|"tell-back"|"order-add"|"order-remove"|"order-move"|"order-rename"|"order-kind"|"order-reset"|"line-check"|"line-ask"|"line-done"|"line-later"} do
 * @property {number} [number] the finding that seen, not-now and bring-back are about; the input, from 1, of line-ask, line-done and line-later; the line of tell-seen and tell-back; the part of order-…
 * @property {boolean} [on] of hold: whether to hold; of line-check: begin it, or end it
 * @property {""|"music"|"speech"|"quiet"|"sound-check"} [kind] of segment, order-add and order-kind
 * @property {string} [text] the words of a note, a question or a line to tell; a segment's or a part's name
 * @property {boolean} [next] of segment: the next part of the running order, whatever kind and text say
 * @property {number} [at] of note and question: the moment that it is about; 0 for this one
 * @property {number} [place] of order-add and order-move: where in the running order, from 1; 0 for its end
 */

/**
 * Second is where the mix stood at a whole second while the desk was heard and there was a mark to measure from.
 * @typedef {object} Second
 * @property {number} n counts from 1 within a service
 * @property {number} t
 * @property {"second"} entry
 * @property {number} playing inputs in the mix
 * @property {number|null} total_dbfs
 * @property {number|null} rise_db total above the mark, the sum of Split
 * @property {Split} split
 */

/**
 * Linked says that the desk went quiet, or is heard again.
 * @typedef {object} Linked
 * @property {number} n counts from 1 within a service
 * @property {number} t
 * @property {"link"} entry
 * @property {boolean} heard
 * @property {number} away how long it was quiet, once it is heard again
 */

/**
 * Housed says that the house file was read again and is in force: the mark and the cards begin anew, with all that is known of the desk.
 * @typedef {object} Housed
 * @property {number} n counts from 1 within a service
 * @property {number} t
 * @property {"house"} entry
 * @property {string} house what the place is called
 */

/**
 * LineChecked says that a line check began, or ended with what it found. One that began has no inputs yet.
 * @typedef {object} LineChecked
 * @property {number} n counts from 1 within a service
 * @property {number} t
 * @property {"line-check"} entry
 * @property {"begun"|"ended"} state
 * @property {""|"pressed"|"done"|"forgotten"} how how it ended; "" when it began
 * @property {number} began
 * @property {Array<LineInput>} inputs all of the roster, in the desk's order
 * @property {Array<LineRemark>} desk what is about no one input
 * @property {number|null} main_db
 * @property {Array<Phrase>} what the summary, a sentence each
 * @property {Array<string>} [words] Words are What in some reader's language, put there when it leaves for somebody who reads.
 */

/**
 * LineInput is one input as a line check found it. Its levels are before the fader, over the last time that it sounded, and mean nothing until Checked.
 * @typedef {object} LineInput
 * @property {Who} who
 * @property {"waiting"|"unmetered"|"asked"|"later"|"open"|"done"} state
 * @property {boolean} metered
 * @property {number} sounded_seconds up to what is asked for
 * @property {boolean} checked it sounded for as long as is asked for
 * @property {number|null} mean_dbfs mean power
 * @property {number|null} low_dbfs 10th and 90th percentile of its level over half a second
 * @property {number|null} high_dbfs
 * @property {number|null} peak_dbfs the highest
 * @property {Array<Who>} dcas that it follows
 * @property {Array<LineRemark>} remarks
 */

/**
 * LineRemark is one thing that a line check found, and what to do about it.
 * @typedef {object} LineRemark
 * @property {"unheard"|"answers"|"meter"|"steady"|"low"|"hot"|"peaks"|"squeezed"|"together"|"muted"|"nowhere"|"cue"|"low-cut"|"name"|"dca"|"empty-dca"|"empty-group"|"ratio"|"squeezed-group"|"main"} kind
 * @property {Phrase} says
 * @property {Phrase} try
 * @property {LineWords} [words] Words are both in some reader's language, put there when it leaves for somebody who reads.
 */

/**
 * LineWords are what a LineRemark says, in one language.
 * @typedef {object} LineWords
 * @property {string} says
 * @property {string} try
 */

/**
 * Ledger is what was done to each input since the mark, and what it came to.
 * @typedef {object} Ledger
 * @property {number} t
 * @property {number} since the mark; there are no rows without one
 * @property {number} step seconds from one point of a curve to the next; the last is now
 * @property {""|"meters"|"partly"|"faders"} basis
 * @property {Array<LedgerRow>} inputs first those that moved, the farthest up first
 */

/**
 * LedgerRow is one input's line in the Ledger. Its gain is the effective one, of its fader and its DCAs.
 * @typedef {object} LedgerRow
 * @property {Who} who
 * @property {boolean} moved since the mark, though it may be back where it was
 * @property {"same"|"up"|"down"|"opened"|"closed"|"shut"} change
 * @property {number|null} gain_db now
 * @property {number|null} raised_db above the mark's; null between closed and not
 * @property {boolean} known Clearer is how far it stands out more against everything else by the faders alone, the stage as it is now, and Swallowed the rest of Raised. Neither means anything unless Known: of an input that does not play nobody can say.
 * @property {number|null} swallowed_db
 * @property {number|null} clearer_db
 * @property {Array<number|null>} curve_db its gain since the mark; none of an input that did not move
 */

/**
 * Book is what whoever coaches sees of a service besides the operator's screen. Its lists begin with the newest, but for the running order.
 * @typedef {object} Book
 * @property {Array<Trace>} traces what goes on first
 * @property {Array<Noted>} notes
 * @property {Array<CoachLine>} lines
 * @property {Array<OrderPart>} order
 * @property {boolean} edited the running order is another than that of the house file
 */

/**
 * Trace is what became of a finding.
 * @typedef {object} Trace
 * @property {Finding|null} finding as it was last said before it eased, without its facts
 * @property {boolean} on it is on the operator's screen
 * @property {Phrase|null} held_back why it is not, or was not when it ended; null for one that is or then was
 * @property {number} opened
 * @property {number|null} shown when it first came to the operator's screen; null for never
 * @property {number|null} seen when somebody pressed that it was; null for nobody
 * @property {number|null} ended null while it goes on
 * @property {string} why Why is HeldBack in some reader's language, put there when it leaves for somebody who reads.
 */

/**
 * Noted is a note or a question with the moment that it is about.
 * @typedef {object} Noted
 * @property {number} t
 * @property {string} text
 * @property {boolean} question for afterwards
 */

/**
 * OrderPart is one part of the running order as it is for this service.
 * @typedef {object} OrderPart
 * @property {number} number that presses about it give; it keeps it wherever it goes
 * @property {string} name
 * @property {""|"music"|"speech"|"quiet"|"sound-check"} kind
 * @property {Who|null} primary the instrument that carries it; null if none is named
 * @property {boolean} now it is on
 * @property {boolean} next it comes next
 */

/**
 * answer is said to the one page that sent a press.
 * @typedef {object} Answer
 * @property {"answer"} frame
 * @property {string} do as it was sent
 * @property {number} number
 * @property {string} refused why not, in plain words; "" when it was done
 */

/**
 * Press is what somebody asks of Pawl: a button, or a line typed on the coach's page. It goes in at the same door as packets and is kept with them.
 * @typedef {object} Press
 * @property {"seen"|"not-now"|"bring-back"|"mark"|"mark-back"|"segment"|"back"|"note"|"question"|"hold"|"tell"|"tell-seen"|"tell-back"|"order-add"|"order-remove"|"order-move"|"order-rename"|"order-kind"|"order-reset"|"line-check"|"line-ask"|"line-done"|"line-later"} do
 * @property {number} [number] the finding that seen, not-now and bring-back are about; the input, from 1, of line-ask, line-done and line-later; the line of tell-seen and tell-back; the part of order-…
 * @property {boolean} [on] of hold: whether to hold; of line-check: begin it, or end it
 * @property {""|"music"|"speech"|"quiet"|"sound-check"} [kind] of segment, order-add and order-kind
 * @property {string} [text] the words of a note, a question or a line to tell; a segment's or a part's name
 * @property {boolean} [next] of segment: the next part of the running order, whatever kind and text say
 * @property {number} [at] of note and question: the moment that it is about; 0 for this one
 * @property {number} [place] of order-add and order-move: where in the running order, from 1; 0 for its end
 */

/**
 * setupAnswer is a Setup as /api/setup gives it.
 * @typedef {object} SetupAnswer
 * @property {string} page which pages this server serves, as in a whole frame
 * @property {number} t seconds on the daemon's clock; a T that stands still is an old Setup
 * @property {string} house
 * @property {string} desk the map's own name for the desk it is written for
 * @property {Link} link
 * @property {Array<Fault>} faults Faults are those of the house file and the map as they are on disk now, which need not be the ones in force. FaultsAge is the time of day they were read at, "10:42:05", or "" when the house came inside the program and has no file.
 * @property {string} faults_age
 * @property {Array<Arriving>} arriving Arriving are the kinds of message heard since the start, in the caller's order; the page puts what no signal hears first. More counts the kinds that are not listed.
 * @property {number} more
 * @property {number} messages since the start
 * @property {number} unmapped of them, in no line of the map
 * @property {number} malformed packets that could not be read at all
 * @property {Array<Strip>} inputs
 * @property {Array<Strip>} dcas
 * @property {Array<Strip>} groups
 * @property {Strip} main
 */

/**
 * Fault is one thing wrong, or with Advice one thing worth knowing, in a file that a person wrote.
 * @typedef {object} Fault
 * @property {string} file
 * @property {number} line from 1; 0 when it is about the whole file
 * @property {number} col from 1; 0 when not known
 * @property {string} path where in the file's structure: "inputs[3].element"
 * @property {string} text what was found, and what was wanted
 * @property {string} hint the next step, or ""
 * @property {boolean} advice
 */

/**
 * Arriving is one kind of message: addresses that differ only in their numbers, with the same types.
 * @typedef {object} Arriving
 * @property {string} shape "/berth/* /height"
 * @property {string} types the OSC tags without their comma: "if"; "" for none
 * @property {string} example one whole address as it came, or what stood for the stars: "1–16"; or ""
 * @property {string} range of the values, in words: "0 to 1"; "" when they are no numbers
 * @property {number} count
 * @property {number} rate messages in a second, lately
 * @property {number} age seconds since the last
 * @property {string} heard the signal that hears it: "input.fader"; "" when none does
 */

/**
 * stripJSON is one input, DCA, group or the main as the page gets it, null for a number that was not heard yet.
 * @typedef {object} Strip
 * @property {number} number
 * @property {string} name
 * @property {string} element
 * @property {Fader|null} fader
 * @property {Level|null} level
 * @property {boolean} muted
 * @property {number} age
 */

/**
 * faderJSON is a fader that was heard.
 * @typedef {object} Fader
 * @property {number|null} db null for closed
 */

/**
 * levelJSON is a level that was heard.
 * @typedef {object} Level
 * @property {number|null} dbfs null for no sound at all
 */

/**
 * lineAnswer is a LineCheck as /api/linecheck gives it.
 * @typedef {object} LineAnswer
 * @property {string} page which pages this server serves, as in a whole frame
 * @property {string} language that its words are in
 * @property {number} t seconds on the daemon's clock; a T that stands still is an old LineCheck
 * @property {string} house
 * @property {Link} link
 * @property {boolean} on
 * @property {number} since
 * @property {number} all inputs of the roster
 * @property {number} metered of them those of which a level is heard
 * @property {number} play_seconds how long each should sound
 * @property {number|null} least_dbfs the guide that levels should lie in, in the mean
 * @property {number|null} most_dbfs
 * @property {number} asked the number of the input that should sound now, from 1; 0 for none
 * @property {number|null} now_dbfs its level at this moment
 * @property {boolean} sounds and it is heard
 * @property {Array<LineInput>} inputs while one is on
 * @property {Array<LineRemark>} desk
 * @property {number|null} main_db
 * @property {LineChecked|null} last the last that ended; nil for none
 */

/**
 * linePress is the body of a POST to /api/linecheck.
 * @typedef {object} LinePress
 * @property {"begin"|"end"|"ask"|"done"|"later"} do
 * @property {number} [input] of ask, done and later: its number, from 1
 */

/**
 * firstAnswer is a First as /api/first gives it.
 * @typedef {object} FirstAnswer
 * @property {string} page which pages this server serves, as in a whole frame
 * @property {number} t seconds on the daemon's clock; a T that stands still is an old First
 * @property {"listening"|"asking"|"naming"|"done"} stage
 * @property {Link} link
 * @property {number} messages since the start
 * @property {Array<string>} send_to the addresses that the desk may be told to send to, "192.0.2.20:10701"
 * @property {string} question Ask in words, "" when nothing is asked
 * @property {FirstAsks} asks
 * @property {Array<string>} said Says in words, of the last answer
 * @property {Array<FirstMoved>} moving what a hand seems to have moved just now
 * @property {Array<FirstFader>} faders the inputs', once it is known where they are
 * @property {number} told signals that the map tells for certain
 * @property {Array<FirstInput>} inputs to be looked through
 * @property {Array<string>} dcas
 * @property {Array<string>} groups
 * @property {string} map the files that are written, or were
 * @property {string} house
 */

/**
 * FirstAsks says what an answer may be.
 * @typedef {object} FirstAsks
 * @property {boolean} number a number of dB
 * @property {boolean} nothing nothing but that the hand is done
 * @property {boolean} none that the desk has none
 * @property {boolean} back back to the question before
 * @property {boolean} wrong that something else was seen than was moved
 * @property {number} done questions that are answered
 * @property {number} to_come at most
 */

/**
 * FirstMoved is something that moved just now.
 * @typedef {object} FirstMoved
 * @property {string} what Moved in words
 * @property {string} to At in words
 */

/**
 * FirstFader is how far up an input's fader is.
 * @typedef {object} FirstFader
 * @property {number} number from 1
 * @property {number} at 0 to 1
 */

/**
 * FirstInput is an input to be looked through.
 * @typedef {object} FirstInput
 * @property {number} number the desk's own, from 1
 * @property {string} name
 * @property {string} guess as the house file writes it: "element: pad"; "" for none
 * @property {string} by the word of the name that the guess rests on
 */

/**
 * FirstPress is the body of a POST to /api/first.
 * @typedef {object} FirstPress
 * @property {"begin"|"answer"|"write"} do
 * @property {string} [text] of answer: what a person would type at a terminal, in English or in the page's language; of write: what the place is called
 * @property {Array<FirstRow>} [inputs] of write
 */

/**
 * FirstRow is an input as somebody looked it through.
 * @typedef {object} FirstRow
 * @property {number} number
 * @property {string} name
 * @property {boolean} right the guess is
 */

/**
 * firstPressed is the answer to a FirstPress.
 * @typedef {object} FirstPressed
 * @property {string} refused why not, or ""
 */

/**
 * pairPress is the body of a POST to /api/pair: the code that a screen was given.
 * @typedef {object} PairPress
 * @property {string} code
 */

/**
 * paired is the answer to it. The key itself is in a cookie that no script can read.
 * @typedef {object} Paired
 * @property {""|"watch"|"coach"|"installer"} may
 * @property {string} refused
 */

/**
 * keysAnswer is what /api/keys gives: who may look from elsewhere.
 * @typedef {object} KeysAnswer
 * @property {number} t the time of the answer, in seconds since 1970
 * @property {boolean} local the page is for this machine alone, and nothing can be paired
 * @property {Array<Key>} keys
 * @property {string} refused why the keys cannot be read
 */

/**
 * keyJSON is one key in it.
 * @typedef {object} Key
 * @property {string} id
 * @property {"watch"|"coach"|"installer"} may
 * @property {string} called
 * @property {string} made
 * @property {boolean} yours of the screen that asks
 * @property {number} here pages that look with it now
 */

/**
 * keysPress is the body of a POST to /api/keys.
 * @typedef {object} KeysPress
 * @property {"invite"|"revoke"} do
 * @property {string} [may] of invite: watch, coach or installer
 * @property {string} [called] of invite: what the keys are called
 * @property {string} [id] of revoke
 */

/**
 * keysPressed is the answer to it.
 * @typedef {object} KeysPressed
 * @property {string} refused
 * @property {string} [code] Of invite: the code, where a screen opens the page with it, and that address as a QR code (ISO/IEC 18004), a row of 0 and 1 each, dark being 1.
 * @property {string} [until]
 * @property {string} [address]
 * @property {Array<string>} [drawn]
 */

/**
 * reviewList is the list of services as /api/review/services gives it.
 * @typedef {object} ReviewList
 * @property {string} page which pages this server serves, as in a whole frame
 * @property {Array<Service>} services the newest first
 */

/**
 * Service is one service in the list of them.
 * @typedef {object} Service
 * @property {number} id
 * @property {string} name "" if nobody named it
 * @property {string} mixing who was mixing, as the house calls them; "" if nobody said
 * @property {string} began
 * @property {string} ended when something last happened
 * @property {boolean} goes_on
 * @property {string} house what the place is called
 * @property {number} moves
 * @property {number} findings that opened
 * @property {number} shown of these, that came to the screen
 * @property {number} lost entries and seconds of levels that could not be kept
 * @property {number} music how long there was music
 * @property {number} ratchets how often everything went up in turns
 */

/**
 * reviewOne is one service as /api/review/services/ID gives it.
 * @typedef {object} ReviewOne
 * @property {string} page
 * @property {Service} service
 * @property {Service|null} earlier null for the first of the record; without music and ratchets, as Later
 * @property {Service|null} later null for the newest
 * @property {Timeline} timeline
 * @property {Array<Remark>} remarks
 * @property {Array<ReviewFigure>} figures
 * @property {Array<string>} damage what the record has of it and cannot be read, in words; mostly none
 * @property {Array<string>} limits of the house, that the figures rest on, where they are not the usual ones
 * @property {ReviewOneThing|null} next what to try next time, from this service alone; null if nothing stands out
 */

/**
 * Timeline is one service as a page draws it, but for its curves. All its times, also those of its findings and their facts, are seconds since the service began.
 * @typedef {object} Timeline
 * @property {number} length
 * @property {Array<SegmentSpan>} segments in order, without a hole between them
 * @property {Array<Measured>} marks
 * @property {Array<Gap>} gaps
 * @property {Array<Staircase>} movers those that moved, the one with most moves first
 * @property {Array<Who>} still the inputs that did not
 * @property {Array<Squeezed>} groups in the order of Curves.Squeeze
 * @property {Array<Plenty>} plenty one, and another each time that the house's limits changed
 * @property {Array<Told>} told in the order in which they opened
 */

/**
 * SegmentSpan is one segment of a service, from when it began until the next did.
 * @typedef {object} SegmentSpan
 * @property {number} from
 * @property {number} until
 * @property {number} number within its run
 * @property {""|"music"|"speech"|"quiet"|"sound-check"} kind "" for one of which nobody knew
 * @property {string} name the house's own, or ""
 * @property {""|"tap"|"scene"|"heard"|"back"} how
 */

/**
 * Measured is a moment from which the figures are measured anew.
 * @typedef {object} Measured
 * @property {number} t
 * @property {""|"hand"|"music"|"scene"|"routing"|"accepted"} how
 * @property {string} says how it came to be, in a reader's language
 */

/**
 * Gap is a time of which the record knows nothing: Pawl did not run, or the desk was away.
 * @typedef {object} Gap
 * @property {number} from
 * @property {number} until
 * @property {"desk"|"pawl"} why
 */

/**
 * Staircase is every move of one fader that counted, in order.
 * @typedef {object} Staircase
 * @property {Who} who
 * @property {Array<Step>} steps
 */

/**
 * Step is one move: from rest to rest, with its exact times.
 * @typedef {object} Step
 * @property {number} began
 * @property {number} ended
 * @property {number|null} from_db null for closed or muted
 * @property {number|null} to_db
 * @property {"raise"|"lower"|"bring-in"|"take-out"|"return"|"scene"|"reroute"|"gain-set"} kind
 */

/**
 * Squeezed is how hard one group's compressor worked over the whole service.
 * @typedef {object} Squeezed
 * @property {Who} who
 * @property {boolean} known false if the desk never told; then the others are 0
 * @property {number|null} most_db the highest of its medians, upwards positive
 * @property {number} over share of the time that a median was known in which it was over Plenty
 */

/**
 * Plenty is how much gain reduction on a group was enough from a moment on, by the limits of the house file of then: above it the rule about it begins to whisper.
 * @typedef {object} Plenty
 * @property {number} from
 * @property {number|null} most_db
 */

/**
 * Told is one finding with its life.
 * @typedef {object} Told
 * @property {number} number in this timeline, from 1
 * @property {number} from when it opened
 * @property {number|null} until when it eased; null if it was open to the end
 * @property {Finding} said as it last opened or grew, with shown if it ever was
 * @property {Array<Turn>} life in order, from its opening
 */

/**
 * Turn is one thing that happened to a finding.
 * @typedef {object} Turn
 * @property {number} t
 * @property {"open"|"grew"|"shown"|"held"|"eased"|"seen"|"not-now"} what
 * @property {string} says what it said then, in a reader's language; "" if nothing new
 */

/**
 * Remark is a note at a moment of a service, its own or one of afterwards.
 * @typedef {object} Remark
 * @property {number} id 0 for one of the service itself, which stays
 * @property {number} t
 * @property {string} text "" for a bookmark
 * @property {boolean} question it was asked in the service, to be answered afterwards
 * @property {boolean} open and nobody has yet: no note of afterwards is about its moment
 */

/**
 * Figure is one coaching number of one service. The sentence that defines it goes with it, and is shown wherever the number is.
 * @typedef {object} ReviewFigure
 * @property {string} name of the figure, the same in every service: "ratchets"
 * @property {string} about whom it is of, for one that each group has; else ""
 * @property {number|null} value null if there is none, and Why says why
 * @property {"per_hour"|"s"|"share"|"db"|"count"} unit
 * @property {number} n of how many cases the value is
 * @property {string} cases what N counts, with the number: "3 raises"
 * @property {string} title
 * @property {string} means its definition, a sentence
 * @property {string} text the value with its unit, or "–"
 * @property {string} why why there is no value; "" if there is one
 * @property {Array<ReviewPart>} parts what else is told of the same cases; may be empty
 * @property {Array<ReviewWhen>} moments of the cases, in order, at most MostMoments
 */

/**
 * Part is a number beside a figure's value: of the raises that bought something, how much the others swallowed.
 * @typedef {object} ReviewPart
 * @property {string} name
 * @property {number} value
 * @property {"per_hour"|"s"|"share"|"db"|"count"} unit
 * @property {string} text what it is, with the number
 */

/**
 * When is a moment of a service.
 * @typedef {object} ReviewWhen
 * @property {number} t since the service began, by the time of day
 * @property {string} at the time of day
 */

/**
 * OneThing is the one thing to practise this week.
 * @typedef {object} ReviewOneThing
 * @property {string} name of what it is chosen by, a figure's
 * @property {string} what the thing to practise, a sentence
 * @property {string} why why this one: the count and the comparison that chose it
 * @property {number} services of how many services it was chosen
 * @property {Array<ReviewMoment>} moments that it comes from, the newest first
 */

/**
 * Moment is a moment of some service.
 * @typedef {object} ReviewMoment
 * @property {number} service
 * @property {string} title the service's
 * @property {number} t since the service began, by the time of day
 * @property {string} at the time of day
 * @property {string} text what was there
 */

/**
 * Weeks is what the newest services came to, together.
 * @typedef {object} Weeks
 * @property {number} services of how many this is
 * @property {Array<ReviewTrend>} trends
 * @property {ReviewOneThing|null} practise null if nothing was common enough
 */

/**
 * Trend is one figure over many services, the earliest first. It names who was mixing, and orders nobody by it.
 * @typedef {object} ReviewTrend
 * @property {string} name
 * @property {string} about as in Figure
 * @property {string} title
 * @property {string} means as it is measured in the newest
 * @property {"per_hour"|"s"|"share"|"db"|"count"} unit
 * @property {Array<ReviewPoint>} points
 * @property {number} rests_on services that have a value
 * @property {number} services of so many
 * @property {string} text on how many it rests, and what is too few to say
 */

/**
 * Point is a figure of one service.
 * @typedef {object} ReviewPoint
 * @property {number} service
 * @property {string} title
 * @property {string} began
 * @property {string} mixing
 * @property {number|null} value null for a service that has none
 * @property {number} n
 * @property {string} text the value with its unit, or why there is none
 */

/**
 * Curves are where the mix stood in a span of a service, in points of equal width: each is made of the seconds in it and stands for all of them. A point of which the record knows nothing, or in which nothing played, is null. Means are of decibels and not of powers, so that the four causes still add up to the rise.
 * @typedef {object} Curves
 * @property {number} from where the first point begins
 * @property {number} step the width of a point; never less than a second
 * @property {Array<number|null>} total_dbfs mean
 * @property {Array<number|null>} rise_low_db
 * @property {Array<number|null>} rise_db mean of what the total stood above the mark
 * @property {Array<number|null>} rise_high_db
 * @property {Array<number|null>} faders_db of the rise, likewise the next three
 * @property {Array<number|null>} stage_db
 * @property {Array<number|null>} groups_db
 * @property {Array<number|null>} main_db
 * @property {Array<SqueezeLines>} squeeze in the order of Timeline.Groups
 */

/**
 * SqueezeLines are how hard one group's compressor worked: the least of its 10th percentiles in each point, the mean of its medians, the most of its 90th. All three are upwards positive.
 * @typedef {object} SqueezeLines
 * @property {Array<number|null>} low_db
 * @property {Array<number|null>} median_db
 * @property {Array<number|null>} high_db
 */

/**
 * Edit is what somebody asks of a service afterwards.
 * @typedef {object} Edit
 * @property {"rename"|"label"|"note"|"unnote"|"join"|"split"|"delete"|"begin"|"end"} do
 * @property {string} [text] of rename, label and note
 * @property {number} [t] of split and note: seconds since the service began
 * @property {number} [with] of join: the other service; of unnote: the note's id
 */

/**
 * Compared is what was said in a service beside what other limits would have said.
 * @typedef {object} Compared
 * @property {Array<Row>} rows
 * @property {number} both said in both
 * @property {number} only_then and only then
 * @property {number} only_other and only with the other limits
 * @property {Array<string>} notes about the capture: what is missing from it
 */

/**
 * Row is a finding that was said then, that would be said with the other limits, or, if neither is nil, in both.
 * @typedef {object} Row
 * @property {Said|null} then
 * @property {Said|null} other
 */

/**
 * Said is one finding, from its opening to its easing.
 * @typedef {object} Said
 * @property {Finding|null} finding as it was said last before it eased
 * @property {number} from since the service began
 * @property {number} until eased, or the end of the service
 * @property {boolean} eased
 * @property {number} grew times
 * @property {"whisper"|"nudge"|"now"} weight the most that it had
 * @property {boolean} shown on the operator's screen at some time
 */

export {};
