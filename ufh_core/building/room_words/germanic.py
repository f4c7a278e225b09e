"""English, German and Dutch words for rooms."""

ENGLISH = {
    "living": (
        "living, living room, livingroom, lounge, sitting room, family room, great room, dining, "
        "dining room, dinette, breakfast, breakfast room, day room, drawing room, parlour, parlor, den, "
        "snug, media room, playroom, play room, games room, game room, rec room, recreation, hobby, "
        "gallery, mezzanine, sunroom, sun room, conservatory, winter garden, library, living space, "
        "living area, music room, reception room, loft, common room, roof lounge, garden room, "
        "garden lounge, home cinema"
    ),
    "bedroom": (
        "bedroom, bed, bedrm, bdrm, br, master, master suite, nursery, guest room, guest, child, "
        "children, kids, kids room, dormitory, dorm, sleeping, dressing, dressing room, walk in closet, "
        "walk in wardrobe, wic, bed sit, staff bedroom, sleeping loft"
    ),
    "kitchen": (
        "kitchen, kitchenette, scullery, tea point, tea kitchen, tea room, cooking, galley, kit, staff kitchen"
    ),
    "bath": (
        "bath, bathroom, bathrm, shower, shower room, ensuite, en suite, wet room, washroom, wash room, "
        "sauna, spa, swimming pool, pool, changing room, locker room, steam room, hammam, bath toilet, "
        "bathing, assisted bathroom, master bath, changing"
    ),
    "wc": (
        "wc, toilet, lavatory, restroom, rest room, powder, powder room, half bath, water closet, loo, "
        "urinal, accessible wc, disabled toilet, ladies, gents, w c, wheelchair toilet, staff toilet"
    ),
    "hall": (
        "hall, hallway, corridor, entry, entrance, entrance hall, entry hall, foyer, lobby, vestibule, "
        "landing, passage, passageway, circulation, cloakroom, cloak room, cloaks, mudroom, mud room, "
        "airlock, atrium, draught lobby, lift lobby, elevator lobby, stair lobby, boot room, coats, "
        "corr, porch hall"
    ),
    "utility": (
        "utility, utility room, laundry, laundry room, ironing, drying room, washing, cleaner, janitor, "
        "housekeeping, clean utility, dirty utility, sluice, linen room, soiled utility"
    ),
    "office": (
        "office, study, work room, workroom, workshop, studio, meeting, meeting room, conference, "
        "conference room, classroom, class room, seminar, training room, staff room, break room, "
        "administration, admin, copy room, lab, laboratory, pharmacy, dispensary, home office, "
        "open office, board room, huddle, interview room, counselling, counseling, computer room, "
        "copy print"
    ),
    "treatment": (
        "treatment, consulting, consultation, consult, exam, examination, therapy, surgery, procedure, "
        "dental, dentist, clinic, clinical, patient, patient room, ward, operating, operating room, "
        "operating theatre, x ray, imaging, recovery, minor procedures, physiotherapy, nurse, doctor, "
        "phlebotomy, ultrasound, triage"
    ),
    "waiting": "waiting, waiting room, waiting area, reception, wait",
    "store": (
        "store, storage, storage room, store room, stock room, closet, pantry, larder, cupboard, "
        "archive, bin store, refuse, bicycle store, bike store, warehouse, depot, stor, linen, "
        "cleaner store, cleaners store, linen closet, attic store, box room, trash, waste, records room, "
        "storeroom, bin, bulk store, coal"
    ),
    "stair": (
        "stair, staircase, stairway, stairwell, steps, stair hall, escape stair, fire stair, ramp, "
        "stair core, spiral stair"
    ),
    "shaft": (
        "shaft, riser, duct, lift, elevator, lift shaft, elevator shaft, chute, void, open to below, "
        "flue, chimney, light well, lightwell, service shaft, pipe space, double height, dumbwaiter, "
        "plumbing chase, chase, vent shaft, stair void, riser cupboard, service riser, crawl space, "
        "crawlspace, plenum, hoistway"
    ),
    "attic": ("attic, roof void, roof space, roof storage, eaves, loft space, loft storage, attic space, roof attic"),
    "roof": "roof, flat roof, roof area, rooftop, roof top, roof deck, green roof, canopy",
    "garage": "garage, car port, parking, car park, carpark, parking space, parking bay",
    "cellar": "cellar, basement, wine cellar, basement room, undercroft, cellar room",
    "technical": (
        "technical, plant, plant room, boiler, boiler room, mechanical, mechanical room, mech, "
        "electrical, electrical room, elec, meter room, meter, switch room, server, server room, comms, "
        "comms room, it room, services, service room, machine room, equipment, furnace, hvac, ahu, "
        "plantroom, heating, transformer, substation, generator, telecom, data room, pump room, "
        "hot water, water tank, tank room, elevator machine room, lift motor room, mep, battery room, "
        "technical room, furnace room, switchgear, intake"
    ),
    "outside": (
        "outside, outdoor, exterior, external, terrace, roof terrace, balcony, patio, deck, porch, "
        "loggia, garden, roof garden, yard, courtyard, court yard, veranda, driveway, pavement, lawn, "
        "decking, light court, pergola, landscape, sidewalk, walkway, external area, covered terrace, "
        "stoop, kennel"
    ),
    "area_scheme": (
        "gross area, gross floor area, gross building area, gross building, gross internal area, "
        "gross external area, net area, net floor area, net internal area, net usable area, gfa, gia, "
        "gea, nia, nla, rentable, rentable area, rentable area bldg, floor area, building area, "
        "total area, usable area, area plan, area scheme, building footprint, footprint, "
        "building envelope, envelope, gross volume, thermal zone, fire compartment, fire zone, "
        "gross measured area, lettable, lettable area"
    ),
    "": (
        "stock exchange, roof light, garage door, duty room, court room, room service, roof window, "
        "master plan, garden view, sea view, stair door, shop front, store front, step free, hot desk, "
        "bin day, lift off"
    ),
}

GERMAN = {
    "living": (
        "wohn*, *wohnzimmer, *wohnen, *wohnraum, stube, *stube, esszimmer, essen, essbereich, essplatz, "
        "esszi, wozi, aufenthalt*, galerie, empore, salon, speisezimmer, speisesaal, spielzimmer, "
        "hobbyraum, hobbykeller, partykeller, partyraum, wintergarten, bibliothek, kaminzimmer, "
        "fernsehzimmer, musikzimmer, dachstudio, saal, festsaal, gastraum, gastronomie, spielen, hobby, "
        "wohnkeller"
    ),
    "bedroom": (
        "schlaf*, *schlafzimmer, schlafkammer, kind, kinder, kinderzimmer, kinderz, kizi, kiz, "
        "elternzimmer, eltern, eltern schlafzimmer, gast, gäste, gästezimmer, gästezi, jugendzimmer, "
        "jugend, ankleide*, ankleidezimmer, ankleideraum, sz, ruheraum, mädchenzimmer, zimmer tochter"
    ),
    "treatment": (
        "bettenzimmer, behandlung*, untersuchung*, sprechzimmer, *sprechzimmer, therapie*, *therapie, "
        "röntgen*, patienten*, op saal, krankengymnastik, massage*, arztzimmer, arzt, ordination, "
        "patientenzimmer, ruhebereich, schockraum, schwesternzimmer, ekg"
    ),
    "kitchen": ("küche, *küche, *küchen, küchen*, kochen, kochnische, teeküche, wohnküche, kü, speiseküche, *kochen"),
    "bath": (
        "bad, bäder, badezimmer, badez, bade*, gästebad, elternbad, kinderbad, duschbad, wannenbad, "
        "masterbad, hauptbad, tageslichtbad, vollbad, schwimmbad, hallenbad, familienbad, dusch*, "
        "*dusche, sauna, waschraum, umkleide*, *umkleide, nasszelle, nassraum, wellness, "
        "wellnessbereich, schwimmhalle, badbereich, waschräume"
    ),
    "wc": (
        "wc, toilette, toiletten, klo, *toilette, *toiletten, gästetoilette, gästewc, abort, herrenwc, "
        "damenwc, pissoir, behindertenwc, *wc"
    ),
    "hall": (
        "flur, *flur, *flure, flur*, diele, *diele, gang, *gang, halle, eingangshalle, windfang, "
        "*windfang, eingang, eingangsbereich, vorraum, *vorraum, vorzimmer, vorplatz, *foyer, schleuse, "
        "garderobe, *garderobe, korridor, entree, vorhalle, wartehalle, eingangsflur, verteiler, "
        "aufzugsvorraum, zugang, verkehrsfläche"
    ),
    "utility": (
        "hauswirtschaft*, hwr, waschküche, hausarbeit*, hausarbeitsraum, waschen, bügel*, trockenraum, "
        "trocken*, putzraum, putzkammer, hauswirtschaftsraum, wirtschaftsraum, putzmittel*, "
        "waschmaschine*, unreiner arbeitsraum, reiner arbeitsraum, pumi, wirtschaftsküche"
    ),
    "office": (
        "büro, *büro, büro*, *büros, arbeits*, arbeiten, studio, besprechung*, *besprechung, sitzung*, "
        "konferenz*, seminar*, schulung*, klasse*, klassenzimmer, unterricht*, verwaltung*, personal*, "
        "personalraum, werkraum, werkstatt, labor*, *labor, atelier, pausenraum, sozialraum, "
        "sekretariat, arbeitszimmer, lehrer*, gruppenraum, homeoffice, bürokeller, praxis"
    ),
    "waiting": "warte*, wartezimmer, wartebereich, empfang, *empfang, anmeldung, rezeption",
    "store": (
        "abstell*, *abstellraum, lager, *lager, lager*, vorrat*, vorräte, speisekammer, speise, kammer, "
        "*kammer, archiv*, *archiv, müll*, *müllraum, fahrrad*, fahrräder, geräte*, geräteraum, "
        "besenkammer, depot, magazin, schrank*, *schrank, einbauschrank, aktenraum, stauraum, spind, "
        "wäschekammer, reduit, kinderwagen*, abst"
    ),
    "stair": (
        "treppe*, treppen*, *treppe, *treppen, *treppenhaus, stiege*, stiegenhaus, *stiege, trh, rampe, "
        "*rampe, treppenhauskern, treppenhalle"
    ),
    "shaft": (
        "schacht*, *schacht, *schächte, aufzug*, *aufzug, fahrstuhl*, lift*, luftraum, *luftraum, kamin, "
        "schornstein, installationsschacht, liftschacht, deckendurchbruch, lichthof, hohlraum, "
        "kriechkeller"
    ),
    "attic": (
        "dachboden, *dachboden, spitzboden, *spitzboden, dachraum, dachspeicher, speicher, dachstuhl, "
        "abseite, *abseite, drempel, kniestock, kehlboden, kaltdach"
    ),
    "roof": (
        "dach, dachfläche, dachflächen, flachdach, *flachdach, vordach, satteldach, gründach, dachaufsicht, dachaufbau"
    ),
    "garage": (
        "carport*, *garage, *garagen, garagen*, *stellplatz, stellplätze, stellplatz*, parkhaus, parken, "
        "doppelgarage, parkplatz, parkdeck, parkebene"
    ),
    "cellar": (
        "keller, keller*, *keller, untergeschoss, kellerraum, weinkeller, waschkeller, mieterkeller, kellerabteil"
    ),
    "technical": (
        "technik*, *technik, *technikraum, heiz*, *heizraum, *heizung, hausanschluss*, har, ha raum, "
        "elektro*, *elektro, server*, *serverraum, maschinenraum, lüftung*, *lüftung, haustechnik*, "
        "*haustechnik, anschlussraum, zähler*, öltank*, tankraum, pellet*, pelletlager, heizungskeller, "
        "heizkeller, technikkeller, öllager, brennstofflager, trafo*, batterieraum, heizöl*, nsv, "
        "edv raum, verteilerraum, pumpenraum, schaltraum, aufzugsmaschinenraum, sprinkler*"
    ),
    "outside": (
        "außen*, aussen*, balkon, *balkon, balkon*, terrasse, *terrasse, *terrassen, terrassen*, loggia, "
        "loggien, veranda, garten, *garten, hof, *hof, innenhof, freisitz, laubengang, "
        "vorgarten, dachterrasse, freifläche*, grünfläche*, einfahrt, zufahrt, überdachung, dachgarten, "
        "hauszugang, eingangspodest"
    ),
    "area_scheme": (
        "bgf, bri, ngf, nrf, nuf, bruttogrundfläche, bruttogeschossfläche, bruttofläche, "
        "brutto grundfläche, brutto geschossfläche, bruttorauminhalt, nettogrundfläche, "
        "netto grundfläche, nettoraumfläche, gesamtfläche, geschossfläche, bruttoraum, grundfläche, "
        "brandabschnitt, mietfläche, *geschossfläche, wohnflächenberechnung"
    ),
    "": (
        "dachgeschoss, bahnhof, gasthof, kindergarten, dachzimmer, gartengeschoss, gartenzimmer, "
        "dachfenster, ausgang, balkonzimmer, bauhof, innenhofseite, terrassenseite, gartenseite, "
        "balkonseite"
    ),
}

DUTCH = {
    "living": (
        "woonkamer, woon*, *woonkamer, zitkamer, zithoek, eetkamer, eethoek, leefruimte, huiskamer, "
        "hobbykamer, speelkamer, vide woonkamer, serre, bibliotheek, eetruimte"
    ),
    "bedroom": (
        "slaapkamer, slaap*, *slaapkamer, logeerkamer, kinderkamer, hoofdslaapkamer, kleedkamer ouders, "
        "inloopkast, slpk"
    ),
    "kitchen": "keuken, *keuken, bijkeuken koken, keukenblok, kook*, pantry keuken",
    "bath": (
        "badkamer, *badkamer, badk, douche, douche*, *douche, natte cel, zwembad, kleedkamer, kleedruimte, doucheruimte"
    ),
    "wc": "toilet, *toilet, toiletruimte, wc, miva, mindervalidentoilet",
    "hall": (
        "hal, *hal, gang, overloop, entree, portaal, *portaal, vestibule, tochtportaal, inkomhal, inkom, "
        "verkeersruimte, nachthal, ingang, garderobe, entreehal"
    ),
    "utility": "bijkeuken, wasruimte, washok, waskamer, strijkkamer, wasplaats, werkkast, strijkhoek",
    "office": (
        "kantoor, *kantoor, kantoor*, werkkamer, studeerkamer, vergader*, *vergaderruimte, spreekruimte, "
        "leslokaal, lokaal, bureau, klaslokaal, praktijk, atelier, werkruimte, personeelsruimte"
    ),
    "treatment": "behandel*, onderzoek*, spreekkamer, *spreekkamer, therapie*, artsenkamer",
    "waiting": "wacht*, wachtkamer, wachtruimte, receptie, ontvangst, balie",
    "store": (
        "berging, *berging, bergruimte, bergkast, opslag, *opslag, kast, *kast, voorraad*, magazijn, "
        "archief, provisiekast, containerruimte, fietsenberging, berghok, provisie, stalling fietsen"
    ),
    "stair": "trap, *trap, trappenhuis, *trappenhuis, trapgat, trappen, traphal, hellingbaan",
    "shaft": ("schacht, *schacht, liftschacht, lift, vide, leidingschacht, leidingkoker, koker, kruipruimte, *koker"),
    "attic": "zolder, zolder*, *zolder, vliering, bergzolder, dakruimte",
    "roof": "dak, dakvlak, plat dak",
    "garage": "garage, *garage, parkeer*, parkeerplaats, stallingsgarage, autostalling",
    "cellar": "kelder, kelder*, *kelder, souterrain, kelderberging, wijnkelder",
    "technical": (
        "technische ruimte, techniek, *techniek, installatie*, cv ruimte, cv, meterkast, stookruimte, "
        "ketelhuis, ketel*, serverruimte, technisch lokaal, stooklokaal, machinekamer, technische"
    ),
    "outside": (
        "balkon, terras, *terras, dakterras, tuin, *tuin, loggia, buiten*, galerij, "
        "binnenplaats, patio, oprit, buitenruimte"
    ),
    "area_scheme": (
        "bvo, bruto vloeroppervlak, bruto vloeroppervlakte, gebruiksoppervlak*, gbo, vvo, nvo, "
        "netto vloeroppervlakte, brandcompartiment"
    ),
    "": "zolderkamer, tuinkamer, kelderkamer",
}
