"""French, Italian, Spanish and Portuguese words for rooms."""

FRENCH = {
    "living": (
        "séjour, salon, salle à manger, salle de séjour, living, pièce à vivre, pièce de vie, "
        "coin repas, bibliothèque, salle de jeux, mezzanine, véranda chauffée, jardin d hiver, sam, "
        "séjour cuisine, séjour salon, espace de vie, salle commune, galerie, petit salon"
    ),
    "bedroom": (
        "chambre, chambres, suite parentale, chambre parentale, dressing, dortoir, chambre d amis, chb, chambre enfant"
    ),
    "kitchen": "cuisine, kitchenette, coin cuisine, cuis, tisanerie, office cuisine",
    "bath": (
        "salle de bains, salle de bain, sdb, sde, salle d eau, douche, bain, bains, douches, sdbain, "
        "vestiaire, vestiaires, piscine, s d b"
    ),
    "wc": "wc, toilettes, toilette, sanitaire, sanitaires, cabinet d aisance, w c",
    "hall": (
        "entrée, couloir, dégagement, hall, palier, hall d entrée, sas, circulation, dgt, vestibule, "
        "sas d entrée, degt, corridor"
    ),
    "utility": "buanderie, lingerie, arrière cuisine, local ménage, laverie, local entretien, ménage",
    "office": (
        "bureau, bureaux, salle de réunion, réunion, salle de classe, classe, atelier, "
        "salle de conférence, secrétariat, salle de cours, salle de repos, local social, "
        "salle du personnel"
    ),
    "treatment": (
        "soins, salle de soins, consultation, examen, cabinet médical, salle d examen, box de soins, "
        "infirmerie, kiné, salle d opération"
    ),
    "waiting": "attente, salle d attente, accueil, réception",
    "store": (
        "cellier, rangement, rangements, placard, débarras, remise, stockage, réserve, local poubelles, "
        "local vélos, archives, rgt, local stockage, garde manger, penderie, poubelles, local déchets, "
        "local poussettes, resserre"
    ),
    "stair": "escalier, escaliers, cage d escalier, esc, trémie escalier, rampe",
    "shaft": (
        "gaine, gaines, gaine technique, ascenseur, cage d ascenseur, trémie, conduit, vide sur, vide, "
        "vide sur séjour, gaine ascenseur, cheminée, courette, vide sanitaire, monte charge"
    ),
    "attic": "combles, comble, grenier, combles perdus, soupente",
    "roof": "toit, toiture, toiture terrasse, toit plat",
    "garage": "garage, parking, stationnement, box garage, abri voiture, parc de stationnement",
    "cellar": "cave, caves, sous sol, cave à vin",
    "technical": (
        "local technique, chaufferie, chaudière, technique, local électrique, tgbt, local serveur, vdi, "
        "local cta, locaux techniques, machinerie, sous station, local tgbt, transformateur, local vdi"
    ),
    "outside": (
        "balcon, terrasse, loggia, jardin, cour, patio, extérieur, véranda, toit terrasse, auvent, "
        "préau, porche, coursive, perron"
    ),
    "area_scheme": (
        "surface hors oeuvre, shon, shob, shab, surface de plancher, surface utile, surface habitable, "
        "surface brute, surface totale, sdp, emprise au sol, compartiment, surface hors oeuvre nette"
    ),
}

ITALIAN = {
    "living": (
        "soggiorno, salotto, sala da pranzo, pranzo, zona giorno, sala, living, taverna, biblioteca, "
        "mansarda abitabile, tinello, sala giochi, angolo pranzo, galleria, soppalco"
    ),
    "bedroom": (
        "camera, camera da letto, camera matrimoniale, camera singola, camera doppia, letto, cameretta, "
        "cabina armadio, camera ospiti, matrimoniale, zona notte, dormitorio, camere"
    ),
    "kitchen": "cucina, angolo cottura, cucinino, cottura, cucinotto",
    "bath": (
        "bagno, stanza da bagno, doccia, bagni, docce, spogliatoio, spogliatoi, piscina, bagno padronale, bagno ospiti"
    ),
    "wc": "wc, servizi igienici, servizio igienico, toilette, servizi, antibagno wc",
    "hall": (
        "ingresso, corridoio, disimpegno, atrio, anticamera, antibagno, vestibolo, filtro, disimpegni, "
        "connettivo, bussola, androne, guardaroba"
    ),
    "utility": "lavanderia, stireria, locale lavanderia, lavatoio",
    "office": (
        "ufficio, uffici, studio, sala riunioni, riunioni, aula, laboratorio, sala conferenze, "
        "segreteria, direzione, aule"
    ),
    "treatment": (
        "ambulatorio, visita, sala visite, cure, medicheria, infermeria, studio medico, terapia, "
        "sala operatoria, visite"
    ),
    "waiting": "attesa, sala d attesa, sala attesa, accettazione, reception, accoglienza",
    "store": (
        "ripostiglio, dispensa, deposito, magazzino, sgabuzzino, archivio, depositi, rip, locale rifiuti, ripostigli"
    ),
    "stair": "scala, scale, vano scala, vano scale, corpo scala, rampa",
    "shaft": (
        "cavedio, ascensore, vano ascensore, vuoto, doppio volume, vuoto su, montacarichi, vano tecnico, "
        "camino, canna fumaria, intercapedine"
    ),
    "attic": "sottotetto, soffitta, sottotetto non praticabile, mansarda non abitabile",
    "roof": "tetto, copertura, lastrico solare",
    "garage": "garage, autorimessa, box auto, posto auto, parcheggio, autorimesse",
    "cellar": "cantina, cantine, seminterrato, cantinola, interrato",
    "technical": (
        "locale tecnico, centrale termica, caldaia, locale caldaia, vano caldaia, locali tecnici, "
        "cabina elettrica, ced, locale quadri, locale macchine, quadri elettrici"
    ),
    "outside": (
        "balcone, terrazza, terrazzo, loggia, giardino, cortile, portico, veranda, patio, balconi, "
        "esterno, pergolato, porticato"
    ),
    "area_scheme": (
        "superficie lorda, superficie netta, slp, snr, superficie utile, superficie coperta, superficie totale"
    ),
}

SPANISH = {
    "living": (
        "salón, sala, sala de estar, comedor, estar, salón comedor, sala comedor, cuarto de estar, "
        "biblioteca, sala de juegos, living, estancia, sala familiar, salita, altillo habitable"
    ),
    "bedroom": (
        "dormitorio, habitación, alcoba, recámara, vestidor, cuarto de huéspedes, dormitorio principal, "
        "habitación principal, dorm, hab, dormitorios, suite"
    ),
    "kitchen": "cocina, cocineta, cocina comedor, office cocina, kitchenet, cocina americana",
    "bath": ("baño, cuarto de baño, ducha, duchas, baño principal, vestuario, vestuarios, piscina, sauna, baños"),
    "wc": "aseo, aseos, wc, sanitario, sanitarios, inodoro, medio baño, servicios",
    "hall": (
        "pasillo, vestíbulo, recibidor, distribuidor, corredor, entrada, hall, zaguán, distribuidores, "
        "circulación, descansillo, rellano, esclusa, acceso"
    ),
    "utility": (
        "lavadero, lavandería, cuarto de plancha, cuarto de limpieza, galería lavadero, tendedero, "
        "limpieza, zona de lavado"
    ),
    "office": (
        "oficina, despacho, estudio, sala de reuniones, aula, taller, oficinas, sala de juntas, "
        "laboratorio, despachos, secretaría, aulas"
    ),
    "treatment": (
        "consulta, consultorio, sala de curas, tratamiento, exploración, enfermería, consultas, "
        "quirófano, curas, fisioterapia"
    ),
    "waiting": "sala de espera, espera, recepción, admisión",
    "store": (
        "trastero, almacén, despensa, depósito, armario, bodega de almacenamiento, cuarto de basuras, "
        "basuras, archivo, ropero, trasteros, closet, cuarto de bicicletas, bodega"
    ),
    "stair": "escalera, escaleras, caja de escalera, rampa, hueco de escalera, núcleo de escalera",
    "shaft": (
        "ascensor, patinillo, hueco de ascensor, ducto, hueco, vacío, doble altura, montacargas, "
        "chimenea, patio de luces, patinillos"
    ),
    "attic": "desván, bajo cubierta, ático no habitable, buhardilla no habitable, bajocubierta",
    "roof": "cubierta, tejado, azotea, techo, techumbre",
    "garage": "garaje, cochera, aparcamiento, estacionamiento, plaza de garaje, parking",
    "cellar": "sótano, semisótano, bodega de vino",
    "technical": (
        "cuarto técnico, sala de calderas, caldera, cuarto de instalaciones, instalaciones, "
        "sala técnica, cuarto eléctrico, contadores, sala de máquinas, cuarto de contadores, "
        "grupo electrógeno, rack, cuarto de máquinas, local técnico"
    ),
    "outside": (
        "balcón, terraza, jardín, patio, porche, exterior, terrazas, galería exterior, pérgola, "
        "solárium, azotea transitable, veranda"
    ),
    "area_scheme": (
        "superficie construida, superficie útil, área construida, área bruta, superficie total, "
        "área total, sector de incendio"
    ),
}

PORTUGUESE = {
    "living": (
        "sala, sala de estar, sala de jantar, jantar, estar, living, sala comum, biblioteca, sala de tv, "
        "sala de jogos, mezanino, copa"
    ),
    "bedroom": (
        "quarto, dormitório, suíte, suite, closet quarto, quarto de hóspedes, quarto principal, "
        "quarto casal, vestiário quarto"
    ),
    "kitchen": "cozinha, kitchenette, copa cozinha, cozinhas",
    "bath": (
        "banheiro, banho, instalação sanitária, casa de banho, balneário, duche, vestiário, piscina, "
        "sauna, balneários, banho suíte"
    ),
    "wc": "wc, lavabo, sanitário, sanitários",
    "hall": "corredor, hall, vestíbulo, entrada, circulação, átrio, hall de entrada, antecâmara, circ, saguão",
    "utility": "lavandaria, lavanderia, área de serviço, tratamento de roupa, a serv",
    "office": (
        "escritório, gabinete, sala de reunião, sala de reuniões, estúdio, sala de aula, ateliê, oficina, secretaria"
    ),
    "treatment": "consultório, tratamento, consulta, sala de exames, enfermaria, ambulatório, exames",
    "waiting": "sala de espera, espera, recepção, receção",
    "store": (
        "arrumos, despensa, arrecadação, depósito, armazém, arrumo, closet, roupeiro, arquivo, lixo, dml, arrecadações"
    ),
    "stair": "escada, escadas, caixa de escada, caixa de escadas, rampa",
    "shaft": (
        "courete, elevador, poço, caixa de elevador, shaft, vazio, pé direito duplo, duto, coretes, ascensor, couretes"
    ),
    "attic": "sótão não habitável, desvão, ático técnico, desvão da cobertura, sótão",
    "roof": "cobertura, telhado, laje de cobertura",
    "garage": "garagem, estacionamento, vaga, parqueamento, vagas",
    "cellar": "cave, adega, porão, subsolo, caves",
    "technical": (
        "área técnica, casa de máquinas, caldeira, zona técnica, sala técnica, quadro elétrico, "
        "central térmica, barrilete, gerador"
    ),
    "outside": "varanda, terraço, jardim, pátio, alpendre, quintal, sacada, exterior, logradouro, varandas",
    "area_scheme": (
        "área bruta, área útil, área total, área bruta de construção, área bruta privativa, área de implantação"
    ),
}
