drop table photo_uses;
drop table photos;
