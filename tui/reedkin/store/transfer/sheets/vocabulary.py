"""The words in which makers head their columns and say what they did, in a few languages; all in lower case and without
accents. Common practice, no source."""

from __future__ import annotations

import re
from collections.abc import Mapping

from reedkin.domain.instruments import instrument_named
from reedkin.domain.words import CAUSES, SETTINGS
from reedkin.grammar.words.verbs import in_full
from reedkin.store.transfer.sheets.days import plain

_HEADINGS = {
    "tag": "reed|reed no|reed nr|reed number|reed id|number|nr|no|tag|label|rohr|rohr nr|rohrnummer|nummer|"
           "anche|anche no|"
           "n|#|which reed|reed tag|ancia|cana|numero|num|id|reed label|code",
    "kind": "kind|what|event|action|activity|type|what i did|done|operation|step|did|was|tatigkeit|arbeit|"
            "arbeitsschritt|"
            "schritt|quoi|cosa|que|job|task|work|what done|aktion",
    "at": "at|date|day|when|datum|tag|jour|data|fecha|date time|datetime|time stamp|timestamp|giorno|dia|entry date",
    "at time": "at time|time|time of day|uhrzeit|zeit|hour|heure|ora|hora|clock|start|start time|from|begin|beginn|um|"
               "when|at",
    "tied:at": "tied|tied on|date tied|tie date|made|made on|date made|bound|bound on|built|gebunden|gebunden am|"
               "aufgebunden|monte le|montee le|ligature|legata|legata il|atada|atada el|montada|begun|started|start|"
               "birth|born|created|day tied",
    "played:at": "first played|first day|in use since|first used|in service|in service since|first use|debut|"
                 "started playing|"
                 "erstmals gespielt|gespielt ab|im einsatz seit|premiere utilisation|first day played|"
                 "played from|since|prima suonata|suonata dal|primer uso|estreno|en uso desde",
    "retired:at": "retired|retired on|last day|date retired|died|died on|dead|thrown away|thrown out|discarded|binned|"
                  "ended|end|"
                  "ausgemustert|weggeworfen|jetee le|jete le|end date|finished|death|buttata|entsorgt|"
                  "retirement date|fine|finita il|buttata il|retirada|retirada el|fin",
    "cause": "cause|reason|why|cause of death|reason retired|grund|why retired|raison|motivo|warum|why it died|"
             "what killed it|what happened|estado|causa|stato",
    "played:minutes": "hours|hours played|total hours|h played|stunden|spielstunden|heures|total time|"
                      "hours total|ore|"
                      "horas|playing hours|played hours|hrs|h",
    "minutes": "minutes|min|mins|time|duration|how long|dauer|minuten|zeit|duree|spent|time spent|"
               "length of session|durata|"
               "minuti|minutos|played minutes|played min|time played|playing time",
    "scraped:minutes": "scraped min|scrape min|scraping|scraping time|scrape minutes|scraping min|scraped",
    "instrument": "instrument|instr|instrumento|strumento|horn|for instrument|for",
    "overall_mm": "overall mm|overall|length|overall length|total length|tied length|tie length|tied at|lange|"
                  "gesamtlange|"
                  "longueur|lunghezza|longitud|largo|reed length|aufbindelange|bindelange|tying length|tip to butt",
    "tube": "tube|staple|staple no|tube no|hulse|tube nr|hulsen nr|staple number|tube number|tubo|staple id|tube id",
    "tube_mm": "tube mm|tube|staple|hulse|tube length|staple length|hulsenlange|staple size|tube size|cannello|tudel|"
               "longueur tube|staple mm",
    "lot": "lot|cane|batch|cane lot|cane batch|holz|charge|cane from|supplier|roseau|canna|cana lote|bag|bundle|"
           "cane source|"
           "lotto|lote|holzcharge|which cane|cane bag",
    "shape": "shape|shaper|form|fasson|facon|shaper tip|shape tip|taglio|forme",
    "gouge_mm": "gouge mm|gouge|thickness|hobel|hobelung|gouge thickness|epaisseur|sgorbia|dicke|gouged",
    "sink_min": "sink min|soak time|sink|soak|sink time|soaked for|einweichzeit",
    "thread": "thread|colour|color|thread colour|thread color|faden|farbe|fil|winding|couleur|filo|hilo|garn",
    "name": "name|nickname|nom",
    "where": "where|part|area|place|wo|stelle|ou|dove|where scraped|part of reed",
    "clip_mm": "clip mm|clip|clipped|cut|cut off|off|abgeschnitten|clipped off|coupe|trimmed|amount clipped",
    "gauge_awg": "gauge awg|wire gauge|awg",
    "tubing_mm": "tubing mm|tubing",
    "crow": "crow|crow pitch|pitch of crow|krahen|crows at|cri",
    "opening_mm": "opening mm|opening|aperture|offnung|ouverture|apertura|tip opening",
    "width_mm": "width mm|width|breite|largeur",
    "tip_from_mm": "tip from mm|tip from|tip starts|tip",
    "heart_from_mm": "heart from mm|heart from|heart starts|heart",
    "setting": "setting|occasion|context|anlass|where played|contexte|played in|situation|event type|played for",
    "score": "score|rating|mark|grade|quality|stars|bewertung|note 1 10|how good|qualite|voto|punkte|points|"
             "marks|overall "
             "score|result|qualitat",
    "response": "response|ansprache|attack|reponse",
    "pitch": "pitch|stimmung|intonation|justesse|tuning",
    "stability": "stability|stabilitat|stabilite",
    "tone": "tone|klang|sound|timbre|ton",
    "ease": "ease|leichtigkeit|comfort|resistance|facilite",
    "handed over:to": "sold to|given to|customer|buyer|player|pupil|verkauft an|an wen|to|who|for whom|went to|"
                      "client|"
                      "lent to|owner",
    "handed over:at": "gone on|sold on|date sold|given on|delivered|delivered on|verkauft am|vendu le|lent on|sent",
    "handed over:price": "price|sold for|preis|prix|paid",
    "note": "note|notes|remark|remarks|comment|comments|bemerkung|bemerkungen|notiz|notizen|remarque|remarques|memo|"
            "observations|observaciones|thoughts|what i noticed|kommentar|anmerkung|anmerkungen|commentaire|"
            "osservazioni|"
            "notas|other",
    "room_c": "room c|temperature|temp|room temperature|temperatur|room temp",
    "humidity_pct": "humidity pct|humidity|rh|feuchte|luftfeuchte|luftfeuchtigkeit|humidite|rel humidity",
    "session": "session|sitting|session no",
}  # fmt: skip

MEANINGS: Mapping[str, tuple[str, ...]] = {
    word: tuple(column for column, words in _HEADINGS.items() if word in words.split("|"))
    for words in _HEADINGS.values()
    for word in words.split("|")
}
"""What a heading may stand for, the likelier first."""

_WORD = re.compile(r"[^\W_]+")
_LONGEST = 200
"""Characters of a heading, or of a cell, in which words are looked for."""


def bare_heading(name: str) -> str:
    """A heading without what stands in brackets, and without signs."""
    name = name[:_LONGEST].replace("/", " ")
    return " ".join(_WORD.findall(plain(re.sub(r"[(\[{].*?[)\]}]", " ", name))))


_KINDS = {
    "tied": "legata atada gebunden aufgebunden binden aufbinden tying bind binding ligature monte montage legato "
            "atado built "
            "blank "
            "wrapped",
    "joined": "inherited bought existing",
    "scraped": "geschabt schaben ausgearbeitet gratte grattage scrap scraping raschiato raspada raspado adjusted "
               "finished "
               "worked thinning knife",
    "clipped": "abgeschnitten gekurzt kurzen schneiden coupe coupure tagliato cortado",
    "wired": "draht gedrahtet zwinge",
    "crowed": "gekraht krahen",
    "measured": "gemessen messen mesure misurato medido measurement measurements",
    "played": "gespielt spielen geubt uben probe konzert joue jouer suonato tocado practice rehearsal concert "
              "gig use "
              "used play session",
    "scored": "bewertet note vote",
    "cleaned": "gereinigt nettoye pulito",
    "soaked": "eingeweicht trempe",
    "handed over": "sold verkauft vendu given lent verliehen",
    "returned": "zuruck back",
    "retired": "ausgemustert weggeworfen kaputt tot jete jetee dead died binned discarded thrown buttato tirado "
               "tirada retirada "
               "end ended "
               "rip broke broken trash casse cassee",
    "noted": "notiz bemerkung remarque comment note nota remark observation",
}  # fmt: skip
_KIND_OF = {word: kind for kind, words in _KINDS.items() for word in words.split()}

_CAUSES = {
    "worn": "worn out old tired done used dead played abgespielt alt mude ausgespielt verbraucht use usee usure "
            "finished "
            "past exhausted consumata gastada desgastada weak soft lifeless",
    "closed up": "closed close collapsed zu zugegangen geschlossen ferme fermee chiusa cerrada shut opening closing",
    "cracked": "cracked crack split gerissen riss fendue fendu crepata rajada agrietada rota spaccata splintered",
    "chipped": "chipped chip corner nick ecke ebreche ebrechee tip scheggiata astillada mellada torn bitten",
    "mouldy": "mouldy moldy mould mold mildew schimmel verschimmelt moisi moisie muffa ammuffita moho enmohecida",
    "leaking": "leaking leak leaks leaky undicht fuite perde air",
    "flat": "flat low tief bas basse calante",
    "dropped": "dropped fell drop accident runtergefallen heruntergefallen gefallen tombe tombee caduta caida sat "
               "crushed smashed",
    "lost": "lost missing verloren perdu perdue stolen gone persa perdida weg",
    "never came good": "never mai nunca inservible bad useless failed reject hopeless nie taugt unbrauchbar jamais "
                       "mauvaise nope dud "
                       "rubbish "
                       "scrap ruined unplayable",
    "not known": "unknown unsure forgotten forgot unbekannt inconnu inconnue sconosciuta desconocida",
}  # fmt: skip
_CAUSE_OF = {word: cause for cause, words in _CAUSES.items() for word in words.split()}
HANDED = {"sold": "sold", "verkauft": "sold", "vendu": "sold", "vendue": "sold", "given": "given", "gave": "given",
          "gift": "given", "verschenkt": "given", "donne": "given", "lent": "lent", "verliehen": "lent"}  # fmt: skip
"""Reasons of a reed's end here that are none: it went to somebody else."""

_SETTING_OF = {
    word: setting
    for setting, words in {
        "practice": "practice practise practised practiced practising practicing home study uben geubt ubung hause "
        "etude warmup warm",
        "lesson": "lesson lessons teaching unterricht stunde cours lezione class masterclass",
        "rehearsal": "rehearsal rehearsals rehearsed reh probe proben repetition prova ensayo orchestra orch band",
        "performance": "performance performed concert concerts gig konzert auftritt show recital opera concerto "
        "concierto service recording audition vorstellung",
    }.items()
    for word in words.split()
}

_INSTRUMENT_OF = {
    "english horn": "englischhorn|englisch horn|eng horn|engl horn|e h|e horn|corno inglese|alto oboe|altoboe|"
    "cor anglais|"
    "ca|corno ingles|eh|cor angl|c a",
    "oboe": "hautbois|hoboe|ob|oboe in c|hb|obo|oboi",
    "oboe d'amore": "oboe d amore|hautbois d amour|liebesoboe|oboe d amour|amore|oda|d amore|o d a",
    "bass oboe": "bassoboe|baritone oboe|hautbois baryton|baritonoboe|bass",
}
_INSTRUMENTS = {word: name for name, words in _INSTRUMENT_OF.items() for word in words.split("|")}


def kind_named(text: str) -> str | None:
    """The kind of event, or the verb, that a maker's word means; None where it means none, or several."""
    words = _WORD.findall(plain(text[:_LONGEST]))
    if not words:
        return None
    verb = in_full(" ".join(words))
    if verb is not None and verb.table is None:
        return verb.kind if verb.kind != "handed over" else verb.word
    return _one({_kind_of(word) for word in words})


def _kind_of(word: str) -> str | None:
    verb = in_full(word)
    if verb is not None and verb.table is None:
        return verb.kind if verb.kind != "handed over" else verb.word
    return _KIND_OF.get(word)


def cause_named(text: str) -> str | None:
    """The cause of a reed's end, or how it was handed over (`HANDED`), that a maker's words mean; None where they mean
    none, or several."""
    whole = " ".join(text.lower().split())
    if whole in CAUSES:
        return whole
    words = _WORD.findall(plain(text[:_LONGEST]))
    gone = _one({HANDED.get(word) for word in words})
    return gone or _one({_CAUSE_OF.get(word) for word in words}) or _first_known(words)


def _first_known(words: list[str]) -> str | None:
    """Where several causes are named, that of the clearest words, if it is one."""
    clear: set[str | None] = {_CAUSE_OF[word] for word in words if word in _CAUSE_OF and word not in _VAGUE}
    return _one(clear)


_VAGUE = frozenset(
    ("out", "old", "tired", "done", "used", "played", "tip", "opening", "air", "low", "weak", "soft", "past", "gone",
     "bad")
)  # fmt: skip
"""Words of a cause that also stand beside others."""


def setting_named(text: str) -> str | None:
    """The setting that a maker's words mean."""
    whole = plain(text[:_LONGEST]).strip()
    return whole if whole in SETTINGS else _one({_SETTING_OF.get(word) for word in _WORD.findall(whole)})


def instrument_meant(text: str) -> str | None:
    """The instrument that a maker's words mean."""
    words = " ".join(_WORD.findall(plain(text[:_LONGEST])))
    return instrument_named(text) or _INSTRUMENTS.get(words)


def _one(found: set[str | None]) -> str | None:
    known = {one for one in found if one is not None}
    return known.pop() if len(known) == 1 else None
