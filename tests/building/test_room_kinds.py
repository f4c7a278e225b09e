"""Kinds of room told from names: one table of plain cases, one of traps."""

import time

import pytest

from ufh_core.building.room_kinds import _kind_of_text, room_kind
from ufh_core.building.room_words import LANGUAGES
from ufh_core.building.types import RoomKind

PLAIN = {
    "living": (
        "Living Room|LIVING-ROOM 2|living-space/0|Wohnen|Wohnzimmer|Wohn-/Esszimmer|Galerie|Gallery|"
        "Great Room|séjour|SALON|Soggiorno|sala de estar|comedor|woonkamer|vardagsrum|stue|opholdsrum|"
        "olohuone|salon|pokój dzienny|obývací pokoj|Гостиная|вітальня|居間|リビング|LDK|和室|客厅|起居室|"
        "Esszimmer|Wintergarten|Dining|Mezzanine|Wohnküche/Wohnen|Stube"
    ),
    "bedroom": (
        "Bedroom 1|Schlafzimmer|SCHLAFEN|Kinderzimmer 2|Kind 1|Eltern|Gästezimmer|chambre 1|camera da letto|"
        "dormitorio|quarto|slaapkamer|sovrum|soverom|soveværelse|makuuhuone|yatak odası|YATAK ODASI|"
        "sypialnia|ložnice|спальня|Детская|寝室|洋室1|主卧室|Master Bedroom|Walk-in closet|Ankleide|Nursery"
    ),
    "kitchen": (
        "Kitchen|Küche|Kueche|KUCHE|Teeküche|Wohnküche|cuisine|cucina|cocina|cozinha|keuken|kök|kjøkken|"
        "køkken|keittiö|mutfak|kuchnia|kuchyně|кухня|台所|キッチン|厨房|Kochen"
    ),
    "bath": (
        "Bathroom 1|Bad|BAD|Badezimmer|Gästebad|Bad OG|bath|En-suite|Ensuite|Shower|Duschbad|Dusche|"
        "Salle de bains|SDB|bagno|baño|banheiro|badkamer|badrum|baderom|badeværelse|kylpyhuone|banyo|"
        "łazienka|koupelna|Ванная|санузел|ванна кімната|浴室|洗面脱衣室|浴室1|主卫|Bad/WC|Schwimmbad|"
        "Master Bath"
    ),
    "wc": (
        "WC|Gäste-WC|Guest WC|Toilet|Toilette|WC1|W.C.|aseo|toilettes|toilet|toalett|tuvalet|toaleta|"
        "ubikacja|záchod|туалет|вбиральня|便所|トイレ|厕所|卫生间|Water Closet|Powder Room|WC Herren"
    ),
    "hall": (
        "Hall|Hallway|Entry hall|entry hall|Foyer|Flur|FLUR EG|Diele|Windfang|Corridor 2|Landing|Lobby|Halle|"
        "couloir|Entrée|dégagement|ingresso|corridoio|pasillo|hall de entrada|corredor|gang|overloop|"
        "korridor|entré|eteinen|antre|Giriş Holü|korytarz|przedpokój|chodba|předsíň|Коридор|прихожая|"
        "передпокій|玄関|廊下|EVホール|走廊|玄关|Kellerflur|Aufzugsvorraum|Garderobe|Lift lobby"
    ),
    "utility": (
        "Utility|Laundry|HWR|Hauswirtschaftsraum|Waschküche|buanderie|lavanderia|lavadero|bijkeuken|"
        "tvättstuga|vaskerom|bryggers|kodinhoitohuone|çamaşır odası|pralnia|prádelna|постирочная|洗濯室|"
        "洗衣房"
    ),
    "office": (
        "Office|Büro|Buero|BÜRO 3|Arbeitszimmer|Study|Meeting Room|Besprechung 2|bureau|ufficio|despacho|"
        "kantoor|kontor|toimisto|ofis|biuro|kancelář|Кабинет|офіс|書斎|会議室|办公室|Staff room"
    ),
    "treatment": (
        "Treatment 3|Treatment Room|Consulting Room 1|Exam 4|Behandlung|Behandlungszimmer 2|"
        "Untersuchungsraum|Sprechzimmer|salle de soins|ambulatorio|consulta|spreekkamer|ordinace|"
        "gabinet lekarski|процедурная|診察室|诊室|Patient room"
    ),
    "waiting": (
        "Waiting|Waiting Room|Wartezimmer|Wartebereich|Reception|Empfang|salle d'attente|sala de espera|"
        "poczekalnia|čekárna|待合室|候诊区"
    ),
    "store": (
        "Storage|Store|Store 2|Kitchen Store|Abstellraum|Abstellkammer|Lager|Vorratsraum|Speisekammer|Closet|"
        "Pantry|cellier|placard|ripostiglio|trastero|despensa|berging|förråd|bod|depot|varasto|kiler|schowek|"
        "spíž|Кладовая|комора|納戸|押入|储藏室|Linen closet|Cleaner's store|Bicycle store"
    ),
    "stair": (
        "Stair|Stairs|Stair 1|Staircase|Treppe|Treppenhaus|Treppenraum|TREPPENHAUS 2|escalier|"
        "cage d'escalier|scala|escalera|escada|trap|trappenhuis|trappa|trapp|trappe|porras|porrashuone|"
        "merdiven|klatka schodowa|schodiště|Лестница|лестничная клетка|сходи|階段|楼梯间|Fluchttreppe|"
        "Fire stair"
    ),
    "shaft": (
        "Shaft|Schacht|Installationsschacht|Riser|Elevator|Aufzug|Lift|Luftraum|Void|Open to below|gaine|"
        "gaine technique|ascenseur|cavedio|patinillo|liftschacht|sjakt|hissi|asansör|winda|szacht|výtah|"
        "Шахта|ліфт|PS|吹抜|电梯|管井|Void over living"
    ),
    "attic": (
        "Attic|Dachboden|Spitzboden|Dachraum|combles|grenier|sottotetto|desván|zolder|ullakko|kallvind|"
        "strych|půda|Чердак|горище|小屋裏|阁楼|Roof space|Loft space|çatı arası"
    ),
    "roof": (
        "Roof|ROOF|Flat roof|Dach|Dachfläche|Flachdach|toiture|tetto|cubierta|dak|yttertak|katto|çatı|dach|"
        "střecha|Кровля|дах|屋根|屋顶"
    ),
    "garage": (
        "Garage|Garage 1|Doppelgarage|Tiefgarage|Parking|carport|garage|autorimessa|garaje|garagem|garasje|"
        "autotalli|garaj|garaż|garáž|Гараж|паркінг|車庫|车库"
    ),
    "cellar": (
        "Cellar|Basement|Keller|Keller 3|Weinkeller|Kellerraum|cave|cantina|sótano|kelder|källare|kjeller|"
        "kælder|kellari|bodrum|piwnica|suterén|Подвал|підвал|地下室"
    ),
    "technical": (
        "Plant room|Boiler Room|Mechanical|Electrical Room|Heizraum|HEIZUNG|Heizung|Technikraum|Haustechnik|"
        "HAR|Hausanschlussraum|local technique|chaufferie|centrale termica|sala de calderas|meterkast|"
        "pannrum|teknisk rom|tekninen tila|kazan dairesi|kotłownia|kotelna|Котельная|щитова|機械室|机房|"
        "Server room|Heizungskeller|Comms Room"
    ),
    "outside": (
        "Terrace|Roof terrace|Dachterrasse|Terrasse|Balkon|Balcony|Loggia|Garten|Patio|balcon|toit-terrasse|"
        "balcone|terraza|varanda|dakterras|balkong|parveke|teras|taras|terasa|Балкон|тераса|バルコニー|阳台|"
        "Living room terrace|Terrasse du séjour|External"
    ),
    "area_scheme": (
        "Gross Area|Gross Floor Area|GFA|BGF|Bruttogrundfläche|Bruttogeschossfläche|Rentable Area|"
        "surface de plancher|superficie construida|bruttoarea|BVO|延床面積|建筑面积|Общая площадь"
    ),
}
TRAPS = [
    ("", "Room 3", "", "other"),
    ("1", "Room", "", "other"),
    ("001", "Test Room", "", "other"),
    ("R 2.14", "Raum", "", "other"),
    ("", "", "", "other"),
    ("B12", "Zimmer 4", "", "other"),
    ("", "Badge room", "", "other"),
    ("", "Badminton", "", "other"),
    ("", "Shop", "", "other"),
    ("", "Rooftop", "", "roof"),
    ("", "Dachgeschoss", "", "other"),
    ("", "Dachzimmer", "", "other"),
    ("", "Newcastle", "", "other"),
    ("", "Level 2", "", "other"),
    ("", "Stocktaking", "", "other"),
    ("", "Storey 1", "", "other"),
    ("", "Starling", "", "other"),
    ("", "4th floor", "", "other"),
    ("", "Wholesale", "", "other"),
    ("", "Marmor", "", "other"),
    ("", "Schlafzimmer mit Balkon", "", "bedroom"),
    ("", "Chambre avec balcon", "", "bedroom"),
    ("", "Living with stair", "", "living"),
    ("", "Cupboard under stairs", "", "store"),
    ("", "Wohnen/Treppe", "", "living"),
    ("", "Flur + Treppe", "", "hall"),
    ("", "Kochen/Essen/Wohnen", "", "living"),
    ("", "Flur/Garderobe/WC", "", "wc"),
    ("", "Bad und WC", "", "bath"),
    ("", "Garage corridor", "", "hall"),
    ("", "Keller Bad", "", "bath"),
    ("", "Hobbykeller", "", "living"),
    ("", "Schlafkammer", "", "bedroom"),
    ("", "Waschkeller", "", "cellar"),
    ("", "Local poubelles cuisine", "", "store"),
    ("", "Stair hall", "", "stair"),
    ("", "Treppenhausflur", "", "hall"),
    ("", "BedRoom", "", "bedroom"),
    ("", "bed room", "", "bedroom"),
    ("", "LivingRoom", "", "living"),
    ("", "WohnEssBereich", "", "living"),
    ("", "Bad groß", "", "bath"),
    ("", "Zimmer groß", "", "other"),
    ("", "Bu\u0308ro", "", "office"),
    ("living room", "", "living area", "living"),
    ("entry hall", "", "hallway", "hall"),
    ("Kitchen", "Room", "", "kitchen"),
    ("12", "Kitchen", "Bedroom", "kitchen"),
    ("A105", "Stair", "", "stair"),
    ("12", "Kitchen", "Gross Area", "area_scheme"),
    ("12", "Kitchen", "Rentable", "area_scheme"),
    ("12", "Room 12", "Terrace", "outside"),
    ("12", "12", "Toilet", "wc"),
    ("", "Winter garden", "", "living"),
    ("", "Roof window store", "", "store"),
    ("", "Reception room", "", "living"),
    ("", "Kindergarten", "", "other"),
    ("", "Pièce 3", "", "other"),
    ("", "Комната 2", "", "other"),
    ("", "кухня-гостиная", "", "living"),
    ("", "Vorgarten", "", "outside"),
    ("", "Waiting area", "", "waiting"),
]


@pytest.mark.parametrize(("kind", "name"), [(kind, n) for kind, names in PLAIN.items() for n in names.split("|")])
def test_plain_names(kind, name):
    assert room_kind("", name, "") == RoomKind(kind)
    assert room_kind(name, "", "") == RoomKind(kind)


@pytest.mark.parametrize(("name", "long_name", "object_type", "kind"), TRAPS)
def test_traps(name, long_name, object_type, kind):
    assert room_kind(name, long_name, object_type) == RoomKind(kind)


def test_every_word_says_its_own_kind_in_capitals_too():
    """A word that does not is shadowed by another language's; those few are known."""
    shadowed = {"kammer", "aula", "aulas"}
    for language in LANGUAGES:
        for kind, words in language.words.items():
            for word in (w.strip() for w in words.split(",")):
                if kind and word.strip("*").casefold() not in shadowed:
                    assert _kind_of_text(word.strip("*").upper()) == RoomKind(kind), (language.code, word)


def test_none_texts_and_speed():
    assert room_kind(None, None, None) == RoomKind.OTHER  # IFC attributes may be null
    start = time.perf_counter()
    for k in range(300):
        room_kind(str(k), f"Besprechungsraum {k}", "")
    assert time.perf_counter() - start < 3.0
