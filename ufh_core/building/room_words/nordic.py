"""Swedish, Norwegian, Danish, Finnish and Turkish words for rooms."""

SWEDISH = {
    "living": (
        "vardagsrum, *vardagsrum, allrum, matsal, matrum, matplats, vrum, storstuga, uterum, bibliotek, "
        "samvaro, lekrum, biorum, salong, sällskapsrum, gillestuga"
    ),
    "bedroom": "sovrum, *sovrum, sov, barnkammare, gästrum, barnrum, klädkammare, walk in, sovalkov, sovplats",
    "kitchen": "kök, *kök, pentry, kokvrå, kök matplats, köks*, trinettkök",
    "bath": (
        "badrum, *badrum, dusch, dusch*, *dusch, bastu, omklädning, omklädningsrum, simhall, bad, våtrum, tvättrum"
    ),
    "wc": "wc, toalett, *toalett, rwc, hwc, dass",
    "hall": (
        "hall, *hall, entré, korridor, *korridor, passage, vindfång, förrum, kapprum, sluss, groventré, "
        "gång, kommunikation"
    ),
    "utility": "tvättstuga, tvätt, tvätt*, grovkök, klk, klädvård, städ, strykrum, grovtvätt",
    "office": (
        "kontor, *kontor, kontor*, arbetsrum, *arbetsrum, konferens*, sammanträde*, mötesrum, klassrum, "
        "personalrum, pausrum, verkstad, grupprum, lärosal, ateljé"
    ),
    "treatment": "behandling*, undersökning*, mottagning*, terapi*, vårdrum, läkare",
    "waiting": "väntrum, reception, vänt*",
    "store": (
        "förråd, *förråd, förråds*, förvaring, lager, klädförråd, garderob, skafferi, städskåp, arkiv, "
        "*arkiv, sopor, soprum, miljörum, cykel*, cykelförråd, matkällare, barnvagn*, frd"
    ),
    "stair": "trappa, trapp*, *trappa, *trapphus, trapphus, ramp",
    "shaft": ("schakt, *schakt, hiss, *hiss, hiss*, hissschakt, ventilationsschakt, öppet ned, krypgrund, skorsten"),
    "attic": "vind, kallvind, råvind, vindsutrymme, vindsförråd, snedtak",
    "roof": "tak, yttertak, takyta",
    "garage": "garage, *garage, parkering, *parkering, bilplats, p plats",
    "cellar": "källare, *källare, källar*, krypkällare, vinkällare, jordkällare",
    "technical": (
        "teknik, teknik*, *teknik, teknikrum, fläktrum, pannrum, elrum, elcentral, undercentral, "
        "apparatrum, serverrum, maskinrum, värmecentral, driftsrum, ställverk"
    ),
    "outside": (
        "balkong, *balkong, terrass, *terrass, takterrass, altan, uteplats, loftgång, gård, "
        "innergård, trädgård, veranda, skärmtak, uterum kallt"
    ),
    "area_scheme": "bruttoarea, bta, boa, loa, bra, nettoarea, nta, bruksarea, brandcell, byggnadsarea",
    "": "vindsrum, vindsvåning, källarvåning",
}

NORWEGIAN = {
    "living": (
        "stue, *stue, spisestue, peisestue, tv stue, allrom, oppholdsrom, kjellerstue, hems, mesanin, "
        "loftstue, spiseplass, vinterhage, spiserom"
    ),
    "bedroom": "soverom, *soverom, sov, gjesterom, barnerom, hovedsoverom, omkledning, walk in garderobe",
    "kitchen": "kjøkken, *kjøkken, tekjøkken, kjøk, kjøkken*",
    "bath": ("bad, *baderom, baderom, dusj, dusj*, *dusj, badstue, vaskerom bad, svømmehall, våtrom, garderobe dusj"),
    "wc": "wc, toalett, *toalett, hcwc, gjestetoalett",
    "hall": (
        "gang, *gang, entre, entré, hall, *hall, vindfang, korridor, *korridor, vf, mellomgang, sluse, "
        "vestibyle, inngang"
    ),
    "utility": "vaskerom, *vaskerom, vask, renhold*, bk, grovkjøkken, tørkerom, stryke*, vaskekjeller",
    "office": (
        "kontor, *kontor, kontor*, arbeidsrom, møterom, *møterom, klasserom, undervisning*, personalrom, "
        "pauserom, verksted, grupperom"
    ),
    "treatment": "behandling*, undersøkelse*, legekontor, terapi*",
    "waiting": "venterom, ventesone, resepsjon",
    "store": (
        "bod, *bod, boder, lager, *lager, sportsbod, matbod, kott, skap, arkiv, avfall*, søppel*, sykkel*, spiskammer"
    ),
    "stair": "trapp, *trapp, trapp*, trapperom, rampe",
    "shaft": "sjakt, *sjakt, heis, *heis, heis*, åpent ned, krypekjeller",
    "attic": "loft uinnredet, kaldloft, råloft, *loftsbod, kneloft, knevegg",
    "roof": "tak, takflate",
    "garage": "garasje, *garasje, parkering, *parkering, parkerings*, biloppstilling",
    "cellar": "kjeller, *kjeller, kjeller*, kjellerbod, vinkjeller",
    "technical": (
        "teknisk, teknisk rom, tekn, fyrrom, eltavle, tavlerom, ventilasjon*, varmesentral, serverrom, maskinrom"
    ),
    "outside": (
        "balkong, *balkong, terrasse, *terrasse, takterrasse, veranda, altan, uteplass, hage, svalgang, "
        "platting, overbygd inngang"
    ),
    "area_scheme": "bruttoareal, bta, bra, nettoareal, nta, bruksareal, branncelle, bebygd areal",
    "": "takhøyde, kjellerleilighet",
}

DANISH = {
    "living": (
        "opholdsrum, spisestue, alrum, *alrum, dagligstue, pejsestue, køkkenalrum, køkken alrum, hems, "
        "fællesrum, havestue"
    ),
    "bedroom": (
        "soveværelse, *soveværelse, værelse, *værelse, kammer, børneværelse, gæsteværelse, sovekammer, "
        "forældre*, påklædning"
    ),
    "kitchen": "køkken, *køkken, tekøkken, køkken*",
    "bath": (
        "bad, badeværelse, *badeværelse, bruser, brusebad, bruse*, sauna, omklædning*, svømmesal, vådrum, bad toilet"
    ),
    "wc": "wc, toilet, *toilet, gæstetoilet, hc toilet",
    "hall": "entre, gang, *gang, fordelingsgang, forrum, vindfang, bagindgang, gangareal, mellemgang, indgang",
    "utility": "bryggers, vaskerum, rengøring*, vaskekælder, grovkøkken, tørrerum",
    "office": (
        "kontor, *kontor, kontor*, mødelokale, *mødelokale, klasselokale, undervisning*, personalerum, "
        "værksted, møderum, grupperum"
    ),
    "treatment": "behandling*, undersøgelse*, konsultation*",
    "waiting": "venteværelse, venterum",
    "store": "depot, *depot, lager, pulterrum, skab, viktualierum, spisekammer, arkiv, affald*, cykel*, skunk",
    "stair": "trappe, *trappe, trapperum, trappeopgang",
    "shaft": "skakt, *skakt, elevator, elevator*, krybekælder, skorsten, dobbelthøjt",
    "attic": "loftsrum, tagrum, uudnyttet tagetage, skunkrum, pulterloft",
    "roof": "*tagflade, tagflade, fladt tag",
    "garage": "garage, parkering, *parkering, parkerings*",
    "cellar": "kælder, *kælder, kælder*, vinkælder",
    "technical": (
        "teknik, teknikrum, fyrrum, fyr, elrum, ventilation*, varmecentral, serverrum, maskinrum, kedelrum, tavlerum"
    ),
    "outside": "altan, terrasse, *terrasse, tagterrasse, svalegang, gård, gårdhave, overdækket terrasse",
    "area_scheme": "bruttoareal, bruttoetageareal, nettoareal, etageareal, brandcelle",
    "": "kælderetage, tagetage",
}

FINNISH = {
    "living": (
        "olohuone, oh, olo*, *olohuone, ruokailu, ruokailutila, ruokasali, tupa, takkahuone, kirjasto, "
        "oleskelu*, leikkihuone, parvi, aula oleskelu, viherhuone, pirtti"
    ),
    "bedroom": "makuuhuone, mh, *makuuhuone, makuu*, lastenhuone, vierashuone, vaatehuone, alkovi, vh",
    "kitchen": "keittiö, *keittiö, keittotila, keittokomero, tupakeittiö, kk, minikeittiö, keitto*",
    "bath": (
        "kylpyhuone, kph, *kylpyhuone, pesuhuone, sauna, suihku, suihku*, pesutila, ph, kylpy*, "
        "pukuhuone, pukutila, allas"
    ),
    "wc": "wc, vessa, käymälä, inva wc, le wc",
    "hall": ("eteinen, käytävä, *käytävä, aula, *aula, tuulikaappi, tk, eteis*, sisääntulo, halli, kulku*, naulakko"),
    "utility": (
        "kodinhoitohuone, khh, kodinhoito, kodinhoito*, siivous*, pyykki*, siivouskomero, kuivaushuone, pesula"
    ),
    "office": (
        "toimisto, *toimisto, työhuone, neuvottelu*, luokka, kokoushuone, opetus*, taukotila, "
        "sosiaalitila, työ*, verstas"
    ),
    "treatment": "hoitohuone, tutkimus*, vastaanotto*, toimenpide*, terapia*",
    "waiting": "odotus*, odotustila",
    "store": (
        "varasto, *varasto, komero, *komero, arkisto, ruokakomero, ulkovarasto, jätehuone, vaatekomero, "
        "jäte*, pyörä*, kellarikomero, irtaimisto*, väestönsuoja"
    ),
    "stair": "porras, *porras, portaikko, porrashuone, porras*, portaat, luiska, prh",
    "shaft": "kuilu, *kuilu, hormi, hissi, *hissi, hissi*, avoin alas, ryömintätila, alapohja*",
    "attic": "ullakko, *ullakko, ullakko*, yläpohja, kylmä ullakko",
    "roof": "katto, vesikatto",
    "garage": "autotalli, autohalli, pysäköinti, pysäköinti*, autokatos, autopaikka",
    "cellar": "kellari, *kellari, kellari*, viinikellari",
    "technical": (
        "tekninen tila, tekninen, ivkh, lämmönjako*, sähkökeskus, sähköpääkeskus, konehuone, "
        "iv konehuone, pannuhuone, spk, talotekniikka, sähkötila, tekn"
    ),
    "outside": (
        "parveke, *parveke, terassi, *terassi, kuisti, piha, ulkotila, patio, luhtikäytävä, katos, "
        "kattoterassi, sisäpiha"
    ),
    "area_scheme": "bruttoala, kerrosala, huoneistoala, nettoala, palo osasto, huoneala",
}

TURKISH = {
    "living": (
        "salon, oturma odası, oturma, yemek odası, yaşam, yaşama alanı, yaşam alanı, kütüphane, oyun odası, galeri"
    ),
    "bedroom": ("yatak odası, yatak, ebeveyn, çocuk odası, misafir odası, giyinme odası, giyinme, ebeveyn yatak odası"),
    "kitchen": "mutfak, açık mutfak, çay ocağı",
    "bath": "banyo, ebeveyn banyo, ebeveyn banyosu, duş, hamam, banyosu, yüzme havuzu, soyunma, soyunma odası",
    "wc": "wc, tuvalet, lavabo, tuvaleti",
    "hall": ("hol, antre, koridor, giriş, giriş holü, koridoru, rüzgarlık, holü, fuaye, lobi, vestiyer, portmanto"),
    "utility": "çamaşır odası, çamaşırhane, temizlik odası, çamaşırlık, ütü odası",
    "office": ("ofis, çalışma odası, toplantı odası, toplantı, büro, derslik, sınıf, personel odası, atölye, idare"),
    "treatment": "muayene, muayene odası, tedavi, poliklinik, doktor odası",
    "waiting": "bekleme, bekleme salonu, bekleme odası, danışma, resepsiyon, kabul",
    "store": "depo, kiler, arşiv, ambar, çöp odası, deposu, gömme dolap",
    "stair": "merdiven, merdiveni, merdiven evi, yangın merdiveni, rampa",
    "shaft": "şaft, asansör, asansör kuyusu, baca, galeri boşluğu, tesisat şaftı, boşluk, ışıklık, aydınlık",
    "attic": "çatı arası, tavan arası",
    "roof": "çatı",
    "garage": "garaj, otopark, kapalı otopark",
    "cellar": "bodrum, sığınak",
    "technical": (
        "teknik oda, kazan dairesi, elektrik odası, teknik hacim, tesisat odası, makine dairesi, "
        "hidrofor, trafo, pano odası, teknik, sunucu odası"
    ),
    "outside": "balkon, teras, bahçe, veranda, avlu, balkonu, terası",
    "area_scheme": "brüt alan, net alan, brüt, toplam alan, inşaat alanı, emsal alanı",
}
